"""What looks teach: against the formulas written out, where they tell something and where not."""

from dataclasses import replace

import numpy as np
import pytest

from api.healing.errors import RowsError
from api.healing.predict import landmark_fit
from api.healing.predict.chance import predict
from api.healing.predict.forecast import forecast
from api.healing.predict.landmark import NOT_SEEN, TRENDS, WIDTH, Seen
from api.healing.predict.landmark_fit import Looks, learn
from api.healing.predict.landmark_terms import Watched, settled, values_of
from api.healing.predict.model import Standing
from api.healing.predict.pooled import fit
from api.healing.rows import Cause
from tests.reference.seen_farms import Past, past_of

pytestmark = pytest.mark.filterwarnings("error")
PAST = past_of(np.random.default_rng(3), "much")
MODEL = fit(PAST.rows, PAST.method, PAST.x)


def learnt(past: Past, looks: Looks):
    return learn(MODEL, past.rows, past.method, past.x, looks)


LANDMARK = learnt(PAST, PAST.looks)
TOLD = replace(MODEL, landmark=LANDMARK)


def watched(monkeypatch: pytest.MonkeyPatch, looks: Looks) -> Watched:
    """What `learn` makes of looks, in order."""
    seen: list[Watched] = []
    monkeypatch.setattr(landmark_fit, "gain_of", seen.append)
    learnt(PAST, looks)
    return seen[0]


def test_looks_that_tell_much_are_used_and_what_they_tell_is_in_order():
    assert LANDMARK is not None
    assert LANDMARK.gain > 0.1
    wait = LANDMARK.top.at.outer[TRENDS:WIDTH, 1]
    # The further the mouth and the cover, the sooner.
    assert np.all(np.diff(wait[:4]) < 0.0)
    assert wait[4] > wait[6] > wait[8]
    assert LANDMARK.top.at.outer[WIDTH].tolist() == pytest.approx([1.0, 0.0, 0.0], abs=1e-3)


def test_chances_are_those_of_the_formula():
    """Each draw as it stands, in plain powers of days, then averaged."""
    standing = PAST.standing(seen=True).part(np.arange(12))
    five = TOLD.draws(standing, 200).five(np.arange(12))
    terms, shape = TOLD.landmark.draws(200, 0)
    u, v = ((day / np.exp(five[..., 1 + k])) ** np.exp(five[..., 3 + k])
            for k, day in enumerate((standing.left, standing.alive)))  # fmt: skip
    a, g = (
        terms[:, 0, None, k] + terms[:, 1, None, k] * (np.clip(np.log(u), -8, 2) + 1.0)
        + terms[:, TRENDS + standing.seen.mouth, k]
        + terms[:, TRENDS + 4 + standing.seen.encrustation, k]
        for k in range(2)
    )  # fmt: skip
    ready = np.exp(five[..., 0] + a - u)
    later = ((standing.today + 14) / np.exp(five[..., 1])) ** np.exp(five[..., 3])
    by = 1.0 - np.exp(-(((later - u) / np.exp(g)) ** shape[:, None]))
    chance = (ready / (ready + np.exp(-v)) * by).mean(axis=0)
    assert predict(TOLD, standing, [14]).ready_by[:, 0] == pytest.approx(chance, rel=1e-6)


def test_what_is_climbed_is_the_likelihood_written_out(monkeypatch):
    """One look a piece, at any terms: ready, lost and still healing on the model's own days."""
    first = np.unique(PAST.looks.row, return_index=True)[1]
    looks, rows = PAST.looks.part(first), PAST.rows
    found = watched(monkeypatch, looks)
    top = settled(found)
    use = looks.day < np.where(rows.cause == Cause.STILL, rows.left, rows.left + 1)[looks.row]
    row, s = looks.row[use], looks.day[use]
    assert row.size == found.weight.size == found.pieces
    new = np.full(row.size, 10**6)
    five = MODEL.best(Standing(s, s, s, PAST.method[row], new, PAST.x[row]))

    def power(day: np.ndarray, k: int) -> np.ndarray:
        return (day / np.exp(five[:, 1 + k])) ** np.exp(five[:, 3 + k])

    terms = top.at.outer
    columns = [np.ones(row.size), np.clip(np.log(power(s, 0)), -8, 2) + 1.0]
    a, g = (columns[0] * terms[0, k] + columns[1] * terms[1, k]
            + terms[2 + looks.seen.mouth[use], k] + terms[6 + looks.seen.encrustation[use], k]
            for k in range(2))  # fmt: skip
    odds = np.exp(five[:, 0] - power(s, 0) + power(s, 1) + a)
    r = odds / (1.0 + odds)

    def alive(day: np.ndarray, k: int) -> np.ndarray:
        gone = power(day, k) - power(s, k)
        return np.exp(-((gone / np.exp(g)) ** np.exp(top.at.shape[0]))) if k == 0 else np.exp(-gone)

    left, right = rows.left[row], rows.right[row]
    by_hand = np.select(
        [rows.cause[row] == Cause.READY, rows.cause[row] == Cause.LOST],
        [r * (alive(left, 0) - alive(right, 0)), (1 - r) * (alive(left, 1) - alive(right, 1))],
        r * alive(left, 0) + (1 - r) * alive(right, 1),
    )
    every = np.ones(row.size, np.bool_)
    assert np.sort(values_of(found, top, every)) == pytest.approx(
        np.sort(np.log(by_hand)), abs=1e-4
    )


def test_looks_that_tell_nothing_change_nothing():
    past = past_of(np.random.default_rng(3), "nothing")
    assert learnt(past, past.looks) is None


def test_few_looks_change_nothing():
    assert learnt(PAST, PAST.looks.part(np.arange(15))) is None
    assert learnt(PAST, Looks.of(*np.zeros((4, 0), int))) is None
    one_cut = np.flatnonzero(PAST.rows.cluster[PAST.looks.row] < 3)
    assert learnt(PAST, PAST.looks.part(one_cut)) is None


def test_a_look_in_which_neither_was_recorded_teaches_nothing():
    blind = Seen.nothing(PAST.looks.row.size)
    assert learnt(PAST, Looks(PAST.looks.row, PAST.looks.day, blind)) is None


def test_looks_at_slow_pieces_count_each_since_there_are_more_of_them(monkeypatch):
    """A piece of twelve looks weighs three times one of four, whatever is picked of them."""
    still = np.flatnonzero(PAST.rows.cause == Cause.READY)
    many = still[PAST.rows.left[still] >= 40]
    few = still[(PAST.rows.left[still] >= 20) & (PAST.rows.left[still] < 30)]
    row = np.concatenate((np.repeat(many, 12), np.repeat(few, 4)))
    day = np.concatenate((np.tile(np.arange(12), many.size), np.tile(np.arange(4), few.size)))
    found = watched(monkeypatch, Looks.of(row, day, day * 0, day * 0))
    sums = np.sort(np.unique(found.weight))
    assert sums[-1] == pytest.approx(3.0 * sums[0])
    assert found.weight.sum() == pytest.approx(found.pieces)


def test_pieces_of_which_nothing_is_known_are_those_with_nothing_seen():
    plain = PAST.standing(seen=False)
    unseen = replace(plain, seen=Seen.nothing(plain.left.size))
    one, two = (predict(TOLD, pieces, [7, 28]).ready_by for pieces in (plain, unseen))
    assert one.tolist() == two.tolist()


def test_the_forecast_adds_up_to_the_pieces_chances():
    standing = PAST.standing(seen=True)
    said, coming = predict(TOLD, standing, [7, 14]), forecast(TOLD, standing, 2)
    assert coming.by.mean == pytest.approx(said.ready_by.sum(axis=0), rel=0.03)


def test_what_cannot_be_is_refused():
    with pytest.raises(RowsError, match="'mouth' is 4; it goes from 0 to 3"):
        Seen.of([0, 4], [0, 0])
    with pytest.raises(RowsError, match="'encrustation' is -2"):
        Seen.of([NOT_SEEN], [-2])
    with pytest.raises(RowsError, match="a day before the cut"):
        Looks.of([0], [-1], [0], [0])
    with pytest.raises(RowsError, match="2 looks and 1 mouths"):
        Looks.of([0, 1], [5, 5], [0], [0])
    with pytest.raises(RowsError, match="names row 240 of 240"):
        learnt(PAST, Looks.of([240], [5], [0], [0]))
    with pytest.raises(RowsError, match="1 pieces and 2 mouths"):
        Standing.of([5], [5], [9], [0], [0], None, Seen.of([0, 1], [0, 1]))
