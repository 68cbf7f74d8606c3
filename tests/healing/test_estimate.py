"""How much of a curve is shown, where it stops, and the days it gives for the shares."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.healing.estimate import Estimate, how_much, ready_band, shown_of, stop_day
from api.healing.incidence import fit_incidence
from api.healing.rows import Cause, IntervalRows
from api.healing.shapes import BandPoint, Half, MedianRange
from tests.healing.farm_book import Book, only, report_of
from tests.reference.simulated import Farm, rows_of

pytestmark = pytest.mark.filterwarnings("error")
READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL


def shown(rows: IntervalRows) -> Estimate:
    """What is shown where enough was seen."""
    fit = fit_incidence(rows)
    return shown_of(rows, fit, ready_band(rows, fit))


@pytest.mark.parametrize(
    ("ready", "cuts", "show"),
    [
        (4, 9, "range"), (90, 1, "range"), (0, 0, "range"),
        (5, 2, "curve"), (90, 3, "curve"), (9, 4, "curve"),
        (10, 4, "full"), (90, 9, "full"),
    ],
)  # fmt: skip
def test_what_so_many_ready_of_so_many_cuts_allow(ready, cuts, show):
    assert how_much(ready, cuts) == show


@st.composite
def some_rows(draw) -> IntervalRows:
    size = draw(st.integers(1, 80))
    cause = np.array(draw(st.lists(st.integers(0, 2), min_size=size, max_size=size)))
    left = np.array(draw(st.lists(st.integers(0, 12), min_size=size, max_size=size)))
    return IntervalRows.of(left, left + 3, cause, np.arange(size) % 4)


@given(some_rows())
def test_the_curve_stops_where_too_few_are_watched(rows):
    """A second way: on each day count who is still watched and who left without an answer."""

    def too_few(day: int) -> bool:
        pieces = list(zip(rows.left, rows.right, rows.cause, strict=True))
        watched = [p for p in pieces if (p[0] if p[2] == STILL else p[1]) >= day]
        unresolved = [p for p in pieces if p[2] == STILL and p[0] < day]
        return bool(unresolved) and len(watched) < max(5, len(pieces) / 10)

    assert stop_day(rows) == next((day for day in range(1, 40) if too_few(day)), None)


def cuts_of(*pieces: tuple[int, int, Cause], cuts: int = 4) -> IntervalRows:
    """Each of `cuts` cuts has these pieces."""
    every = [(*piece, cut) for cut in range(cuts) for piece in pieces]
    return IntervalRows.of(*zip(*every, strict=True))


def full(*pieces: tuple[int, int, Cause], cuts: int = 4) -> Estimate:
    return shown(cuts_of(*pieces, cuts=cuts))


def test_when_every_fate_is_known_the_curve_runs_to_its_end():
    found = full((7, 14, READY), (14, 21, READY), (21, 28, READY), (7, 14, LOST))
    assert (found.stops_at, found.end) == (None, 28)
    last = found.curve[-1]
    assert (last.day, last.ready_low, last.lost_high) == (
        28,
        pytest.approx(0.75),
        pytest.approx(0.25),
    )
    assert (found.half, found.middle) == (Half(14, 21), (8, 28))


def test_a_median_beyond_the_curve_is_only_at_least():
    """4 x 10 pieces; from day 31 on the 4 in (60, 70] are all that is watched."""
    found = full(*[(7, 14, READY)] * 4, *[(30, 30, STILL)] * 5, (60, 70, READY))
    assert (found.stops_at, found.end, found.half) == (31, 30, None)
    assert found.median == MedianRange(8, None)
    assert found.curve[-1].day == found.band[-1].day == 30
    assert all(isinstance(point, BandPoint) for point in found.band)


def test_half_never_reached_with_every_fate_known_is_no_day():
    found = full(*[(7, 14, READY)] * 3, *[(7, 14, LOST)] * 60, cuts=5)
    assert (found.half, found.median, found.middle, found.stops_at) == (None, None, None, None)


def test_half_not_reached_yet_is_at_least_the_day_after_the_last():
    found = full(*[(7, 14, READY)] * 3, *[(90, 90, STILL)] * 60, cuts=5)
    assert (found.half, found.stops_at, found.median) == (None, 91, MedianRange(91, None))


def test_inside_an_interval_nothing_is_known_and_nothing_is_drawn_between():
    found = full((0, 20, READY), (0, 20, READY), (5, 30, READY))
    known = [(p.day, p.ready_low, p.ready_high) for p in found.curve]
    assert known == [(0, 0, 0), (6, 0, 1), (20, pytest.approx(1), pytest.approx(1)),
                     (30, pytest.approx(1), pytest.approx(1))]  # fmt: skip


@pytest.mark.parametrize("seed", range(3))
def test_the_numbers_of_a_simulated_farm_hang_together(seed):
    rows = rows_of(Farm(cuts=8, pieces=12), np.random.default_rng(seed))
    found = shown(rows)
    assert found is not None
    assert found.median is not None
    days = [point.day for point in found.curve]
    assert days == sorted(set(days))
    assert (days[0], days[-1]) == (0, found.end)
    for one, other in zip(found.curve, found.curve[1:], strict=False):
        assert one.ready_low <= other.ready_low + 1e-9
        assert one.lost_low <= other.lost_low + 1e-9
    for point in found.curve:
        assert 0 <= point.ready_low <= point.ready_high <= 1
        assert point.ready_low + point.lost_low <= 1 + 1e-9
    if found.half is not None:
        assert found.median.low <= found.half.by
        assert found.median.high is None or found.median.high >= found.half.by


def full_book(*stories: str) -> Book:
    book = Book()
    for _ in range(4):
        book.pieces(book.cut(), *stories)
    return book


@pytest.mark.parametrize(
    ("stories", "sentence"),
    [
        (["l7 r14"] * 9 + ["l7 x14"],
         "Band saw: half are ready by day 14, 95 % between 8 and 14; 4 of 40 lost."),
        (["l7 r14"] * 4 + ["l7 x14"],
         "Band saw: half are ready by day 14, 95 % between 8 and 14; 4 of 20 lost."),
        (["l20 r40"] * 4,
         "Band saw: half are ready by day 40, 95 % between 21 and 40; none lost. "
         "Dates are good to ± 20 days."),
        (["l13 l14 r15"] * 4,
         "Band saw: half are ready by day 15, 95 % on day 15; none lost."),
        (["l7 r14"] * 3 + ["l7 l14 l90"] * 30,
         "Band saw: half are not ready yet, 95 % at least day 91; 12 of 132 ready; none lost. "
         "Dates are good to ± 76 days."),
        (["l7 r14"] * 3 + ["l7 x14"] * 60,
         "Band saw: fewer than half became ready (12 of 252); 240 of 252 lost."),
    ],
)  # fmt: skip
def test_the_sentence_says_no_more_than_is_known(tmp_path, stories, sentence):
    assert only(report_of(tmp_path, full_book(*stories))).sentence == sentence
