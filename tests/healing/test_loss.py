"""The share lost by a day: the day, which cuts count for it, the curve there, missing pieces."""

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.healing.bands import band_of, replicates_of
from api.healing.groups import Members
from api.healing.incidence import fit_incidence
from api.healing.loss import HORIZONS, counts_at, horizon_of, loss_by, ripe
from api.healing.rows import Cause
from api.healing.shapes import LossByDay
from tests.healing.farm_book import Book, only, report_of
from tests.healing.watched import Watch, groups_of

pytestmark = pytest.mark.filterwarnings("error")


def members(*cuts: tuple[int, list[Watch]]) -> Members:
    """A group of cuts, each with its age in days and its pieces."""
    return groups_of(("one", list(cuts)))[0]


READY = Watch("ready", 40, 47)
HEALING = Watch("healing", 70, 72)
GONE = Watch("withdrawn", 10, 12)
EARLY = Watch("lost", 7, 14)
ACROSS = Watch("lost", 28, 33)
LATE = Watch("lost", 35, 42)
MISSED = Watch("lost", 7, 14, missing=True)


def counted(*cuts: tuple[int, list[Watch]], horizon: int = 30) -> list[tuple[float, float]]:
    """(lost, known) of each cut that was watched to the horizon."""
    found = counts_at(members(*cuts), horizon)
    return list(zip(found.events.tolist(), found.pieces.tolist(), strict=True))


def lost_by(*cuts: tuple[int, list[Watch]], horizon: int = 30) -> LossByDay | None:
    group = members(*cuts)
    fit = fit_incidence(group.rows())
    again = replicates_of(group.rows(), fit)
    return loss_by(group, (fit, again), horizon, ripe(group.table, horizon))


def test_what_counts_as_lost_by_the_horizon():
    """Lost by the first look on or after day 30: of 5 known pieces, 2 lost; one is not known."""
    cut = (90, [READY, HEALING, GONE, EARLY, ACROSS, LATE])
    assert counted(*[cut] * 4) == [(2, 5)] * 4


def test_a_cut_counts_once_somebody_was_there_after_the_horizon():
    """Day 32 in all: the round of day 28 found two dead, and nobody has been there since."""
    dead = [Watch("lost", 21, 28)] * 2
    assert counted((32, [Watch("healing", 28, 28)] * 8 + dead)) == []
    assert counted((32, [Watch("healing", 31, 31)] * 8 + dead)) == [(2, 10)]


def test_a_cut_with_nothing_left_to_look_at_counts_at_its_age():
    assert counted((30, [EARLY] * 3)) == [(3, 3)]
    assert counted((29, [EARLY] * 3)) == []


def test_the_share_lost_is_the_curve_and_its_band_on_the_day():
    """Every look on the same days, so that F is known: two of six were lost by day 14, one by 42.

    Cuts that are alike say nothing of how cuts differ: the limits are those of 24 pieces.
    """
    found = lost_by(*[(90, [READY, READY, HEALING, EARLY, EARLY, LATE])] * 4)
    group = members(*[(90, [READY, READY, HEALING, EARLY, EARLY, LATE])] * 4)
    fit = fit_incidence(group.rows())
    least, most = fit.lost.cumulative(30)
    low, high = band_of(fit, Cause.LOST, replicates_of(group.rows(), fit)).at(30)
    assert least == most == pytest.approx(1 / 3)
    assert found == LossByDay(least, most, low, high, 30, 0, None)


def test_missing_is_not_dead_and_both_readings_are_shown():
    found = lost_by(*[(90, [READY, READY, EARLY, MISSED])] * 5)
    assert found is not None
    assert (found.least, found.most, found.missing) == (pytest.approx(0.5), pytest.approx(0.5), 5)
    without = found.missing_withdrawn
    assert without is not None
    # Of four one is gone unseen from day 7 on: one lost of the three that are known.
    assert without.least == without.most == pytest.approx(1 / 3)
    assert without.low < 1 / 3 < without.high < 1


def test_nothing_is_said_beyond_the_days_that_were_watched():
    young = (32, [Watch("healing", 28, 28)] * 8 + [Watch("lost", 21, 28)] * 2)
    assert lost_by(*[young] * 4, horizon=28) is not None
    assert lost_by(*[young] * 4) is None


def test_the_horizon_is_the_longest_that_half_of_the_pieces_have_passed():
    old, young = (200, [READY] * 5 + [Watch("healing", 190, 190)]), (40, [HEALING] * 6)
    assert horizon_of(members(old)) == 180
    assert horizon_of(members(old, young)) == 180
    assert horizon_of(members(old, young, young)) == 30
    assert horizon_of(members((29, [EARLY]))) is None
    assert horizon_of(members()) is None
    assert horizon_of(members((200, [Watch("never-checked")]))) is None


fates = st.sampled_from(["ready", "lost", "healing", "withdrawn", "never-checked"])
watches = st.builds(
    lambda fate, left, more, missing: Watch(fate) if fate == "never-checked" else Watch(
        fate, left, left + more + (fate in ("ready", "lost")), missing=missing and fate == "lost"
    ),
    fates, st.integers(0, 80), st.integers(0, 20), st.booleans(),
)  # fmt: skip
farms = st.lists(st.tuples(st.integers(0, 120), st.lists(watches, max_size=6)), max_size=7)


@given(farms)
def test_counts_agree_with_a_tally_over_cuts(cuts):
    """A second way: cut by cut instead of piece by piece."""
    horizon = horizon_of(members(*cuts))
    seen = sum(1 for _, pieces in cuts for w in pieces if w.fate != "never-checked")
    passed = {h: tally(cuts, h) for h in HORIZONS}
    fit = [h for h in HORIZONS if seen and 2 * sum(map(sum, passed[h])) >= seen]
    assert horizon == (max(fit) if fit else None)
    if horizon is None:
        return
    known = [(lost, lost + kept) for lost, kept, _ in passed[horizon] if lost + kept]
    assert counted(*cuts, horizon=horizon) == known


def tally(cuts, horizon):
    """(lost, kept, unknown) of each cut that has passed the horizon."""
    found = []
    for age, pieces in cuts:
        kinds: dict[str, int] = defaultdict(int)
        rows = [w for w in pieces if w.fate != "never-checked"]
        for w in rows:
            kinds["lost" if w.fate == "lost" and w.left < horizon
                  else "kept" if w.fate == "ready" or w.right >= horizon
                  else "unknown"] += 1  # fmt: skip
        behind = any(w.fate == "healing" and w.right < horizon for w in rows)
        visited = any(w.right >= horizon for w in rows)
        if age >= horizon and (visited or not behind):
            found.append((kinds["lost"], kinds["kept"], kinds["unknown"]))
    return found


def test_in_the_report_missing_pieces_are_told_apart(tmp_path):
    book = Book()
    for _ in range(5):
        book.pieces(book.cut(), "l7 r35", "l7 r35", "l7 x14", "l7 m14")
    group = only(report_of(tmp_path, book))
    assert (group.lost, group.missing, group.pieces) == (10, 5, 20)
    assert group.notes == [
        "5 of the 10 lost were missing, not found dead, and count as lost. By day 30 that makes "
        "50 % lost, or 33 % if the missing are left out."
    ]


def test_where_nearly_all_were_missing_the_other_reading_is_left_out(tmp_path):
    """Found missing at the first look, pieces were never looked at: one cut is left, or none."""
    book = Book()
    book.pieces(book.cut(), *["l7 l14 l21 l99"] * 12)
    for _ in range(3):
        book.pieces(book.cut(), *["m7"] * 4)
    group = only(report_of(tmp_path, book, day=100))
    assert group.loss is not None
    assert (group.loss.missing, group.loss.missing_withdrawn) == (12, None)


def test_in_the_report_a_loss_after_readiness_is_no_loss_of_healing(tmp_path):
    book = Book()
    for _ in range(4):
        book.pieces(book.cut(), "l7 r14 x21", "l7 l35")
    group = only(report_of(tmp_path, book))
    assert (group.ready, group.lost, group.lost_after_ready) == (4, 0, 4)
    assert group.loss is not None
    assert (group.loss.least, group.loss.most) == (0.0, 0.0)
    assert group.notes == ["4 of the 4 ready were lost later; they count as ready."]
