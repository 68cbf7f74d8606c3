"""What is said of pieces, of coming weeks, and of the model itself."""

import numpy as np
import pytest

from api.healing.errors import RowsError, ShareError
from api.healing.predict.chance import Chances, predict
from api.healing.predict.checks import far_from_plain
from api.healing.predict.forecast import forecast
from api.healing.predict.model import Standing
from api.healing.predict.pooled import fit
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL
ROWS = rows_of(Farm(cuts=40, pieces=8, watched=(20, 70)), np.random.default_rng(4))
METHOD = ROWS.cluster % 3
MODEL = fit(ROWS, METHOD)
PIECES = Standing.of([20, 20, 20, 34, 160], [20, 30, 20, 34, 160], [37, 37, 20, 40, 161],
                     [0, 0, 0, 1, 2], [0, 0, 0, 1, 2])  # fmt: skip


def by_hand(days: int) -> np.ndarray:
    """[F1(d) - F1(a)] / [1 - F1(a) - F2(b)] of each draw, as it stands, then averaged."""
    some = PIECES.part(np.arange(4))
    five = MODEL.draws(PIECES, 200).five(np.arange(4))
    pi = 1.0 / (1.0 + np.exp(-five[..., 0]))

    def share(day: np.ndarray, cause: int) -> np.ndarray:
        power = (day / np.exp(five[..., 1 + cause])) ** np.exp(five[..., 3 + cause])
        return (pi if cause == 0 else 1 - pi) * (1 - np.exp(-power))

    before, lost = share(some.left, 0), share(some.alive, 1)
    return ((share(some.today + days, 0) - before) / (1 - before - lost)).mean(axis=0)


def test_chances_are_those_of_the_formula_given_the_last_look():
    found = predict(MODEL, PIECES, [0, 7, 28])
    for k, days in enumerate((0, 7, 28)):
        assert found.ready_by[:4, k] == pytest.approx(by_hand(days), rel=1e-6)
    assert found.ready_now == pytest.approx(found.ready_by[:, 0])
    assert found.ready_now[2] == 0.0
    nothing_asked = predict(MODEL, PIECES)
    assert nothing_asked.ready_by.shape == (5, 0)
    for name in ("ready_now", "ever", "low", "median", "high", "outside"):
        assert getattr(nothing_asked, name).tolist() == getattr(found, name).tolist()


def test_a_sweep_that_saw_it_alive_makes_it_likelier_to_get_ready():
    found = predict(MODEL, PIECES, [7])
    assert found.ever[1] > found.ever[0]
    assert np.all(found.low <= found.median)
    assert np.all(found.median <= found.high)


def test_long_stalled_pieces_are_outside_the_model():
    assert predict(MODEL, PIECES, [7]).outside.tolist() == [False] * 4 + [True]


def test_the_same_seed_gives_the_same_answer():
    for one, two in zip(
        vars(predict(MODEL, PIECES, [7])).values(), vars(predict(MODEL, PIECES, [7])).values(),
        strict=True,
    ):  # fmt: skip
        assert one.tolist() == two.tolist()
    assert (
        forecast(MODEL, PIECES, 4).by.mean.tolist() == forecast(MODEL, PIECES, 4).by.mean.tolist()
    )


def test_the_forecast_adds_up_to_the_pieces_chances():
    """Means of counts against sums of chances, which are averaged without drawing fates."""
    still = ROWS.cause == STILL
    pieces = Standing.of(ROWS.left[still], ROWS.right[still], ROWS.right[still] + 2,
                         METHOD[still], ROWS.cluster[still])  # fmt: skip
    said, coming = predict(MODEL, pieces, [7, 14, 21]), forecast(MODEL, pieces, 3)
    assert coming.by.mean == pytest.approx(said.ready_by.sum(axis=0), rel=0.03)
    assert coming.already == pytest.approx(said.ready_now.sum(), rel=0.06)
    assert coming.already + np.cumsum(coming.within.mean) == pytest.approx(coming.by.mean)
    limits = np.array([coming.by.low_95, coming.by.low_80, coming.by.high_80, coming.by.high_95])
    assert np.all(np.diff(limits, axis=0) >= 0.0)
    assert np.all(limits == np.rint(limits))


def test_no_pieces():
    none = Standing.of(*[np.zeros(0, int)] * 5)
    found = predict(MODEL, none, [7, 14])
    assert isinstance(found, Chances)
    assert found.ready_by.shape == (0, 2)
    assert forecast(MODEL, none, 2).by.high_95.tolist() == [0.0, 0.0]


def test_what_cannot_be_asked_is_refused():
    for days in ([-1], [np.inf], [np.nan]):
        with pytest.raises(ShareError, match="Days ahead"):
            predict(MODEL, PIECES, days)
    for weeks in (0, 521):
        with pytest.raises(ShareError, match="1 to 520 weeks"):
            forecast(MODEL, PIECES, weeks)
    with pytest.raises(RowsError, match="not in this order"):
        Standing.of([5], [4], [9], [0], [0])
    with pytest.raises(RowsError, match="1 traits, the model 0"):
        predict(MODEL, Standing.of([5], [5], [9], [0], [0], [[1.0]]), [7])


def test_a_curve_with_two_heaps_is_said_to_be_far_from_the_plain_one():
    """Half are ready on day 3, half on day 90: no Weibull distribution is like that."""
    day = np.tile([3, 90], 60)
    rows = IntervalRows.of(day - 1, day, np.full(120, READY), np.arange(120) // 2)
    found = far_from_plain(fit(rows, np.zeros(120, int)), rows, np.zeros(120, int))
    assert [(one.group, one.pieces, one.by > 0.10) for one in found] == [(0, 120, True)]
    few = rows.select(np.arange(120) < 48)
    assert far_from_plain(fit(few, np.zeros(48, int)), few, np.zeros(48, int)) == []


def test_a_curve_that_fits_is_not_said_to_be_far():
    rows = rows_of(Farm(cuts=60, pieces=8, speed_spread=0.1, loss_spread=0.1, watched=(80, 100)),
                   np.random.default_rng(8))  # fmt: skip
    assert far_from_plain(fit(rows, np.zeros(480, int)), rows, np.zeros(480, int)) == []
