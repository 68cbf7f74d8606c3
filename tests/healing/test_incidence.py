"""Days to ready and to loss from looks with gaps: the joint estimate, its bounds and its edges."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import isotonic_regression

from api.healing.errors import NotSettledError, RowsError, ShareError
from api.healing.incidence import fit_incidence
from api.healing.likelihood import Runs
from api.healing.maximise import GAP, maximise
from api.healing.rows import MAX_DAY, Cause, IntervalRows
from tests.reference.dense_incidence import dense, self_consistent, spread_on_days
from tests.reference.simulated import Farm, rows_of

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL


def rows(*pieces: tuple[int, int, int]) -> IntervalRows:
    left, right, cause = zip(*pieces, strict=True)
    return IntervalRows.of(left, right, cause)


@st.composite
def any_rows(draw) -> IntervalRows:
    """Up to 14 rows within 16 days, of both causes, with two bounds and weights."""
    size = draw(st.integers(1, 14))
    whole = st.lists(st.integers(0, 7), min_size=size, max_size=size).map(np.array)
    cause = draw(st.lists(st.integers(0, 2), min_size=size, max_size=size).map(np.array))
    left, more = draw(whole), draw(whole)
    right = left + more + (cause != STILL)
    return IntervalRows.of(left, right, cause, draw(whole), 1 + draw(whole) // 3)


@settings(max_examples=150, deadline=None)
@given(any_rows())
def test_no_place_on_any_day_of_any_cause_could_take_more_mass(some):
    """The certificate is computed on every day of both causes, without intersections."""
    fit, problem = fit_incidence(some), dense(some)
    mass = spread_on_days(fit, problem)
    assert mass.sum() == pytest.approx(1.0, abs=1e-12)
    assert problem.gap(mass) <= 2e-8
    assert problem.loglik(mass) == pytest.approx(fit.loglik, abs=1e-9)
    assert fit.gap <= GAP
    assert fit.steps <= 15


@settings(max_examples=40, deadline=None)
@given(any_rows())
def test_equals_self_consistency_over_all_days(some):
    fit, problem = fit_incidence(some), dense(some)
    slow = self_consistent(problem)
    missing = some.pieces * max(problem.gap(slow), 0.0)
    assert missing < 1e-2
    assert -1e-9 <= fit.loglik - problem.loglik(slow) <= missing + 1e-9
    rowwise = problem.table @ spread_on_days(fit, problem) - problem.table @ slow
    # r - 1 - log r >= (r - 1)^2 / 4 up to r = 2; r is a row's slow over its best probability.
    assert np.abs(rowwise).max() <= 2.0 * np.sqrt(missing) + 1e-6


def test_equals_self_consistency_on_a_farm():
    """F itself where it is identified, both causes; the slow fit ends 1e-9 a piece short."""
    some = rows_of(Farm(cuts=4, pieces=8), np.random.default_rng(8))
    fit, problem = fit_incidence(some), dense(some)
    slow = self_consistent(problem, gap=1e-9, steps=60_000)
    for cause in (READY, LOST):
        curve = fit.curve(cause)
        lower, upper = curve.bounds(np.arange(problem.days + 1))
        known = upper - lower < 1e-12
        assert known.sum() > 40
        assert problem.cumulative(slow, cause)[known] == pytest.approx(lower[known], abs=1e-4)


@settings(max_examples=60, deadline=None)
@given(any_rows(), st.integers(0, 2**31))
def test_the_same_masses_from_any_start(some, seed):
    fit = fit_incidence(some)
    grid = fit.grid
    start = np.random.default_rng(seed).dirichlet(np.full(grid.columns, 0.5)) + 1e-9
    again = maximise(Runs(grid.lo, grid.hi, grid.weight, grid.columns), start, em_steps=0, gap=1e-9)
    assert again.mass == pytest.approx(fit.mass, abs=1e-5)


def test_weights_stand_for_repeated_rows_in_any_order():
    some = rows_of(Farm(cuts=5, pieces=20), np.random.default_rng(3))
    weight = np.random.default_rng(4).integers(1, 5, some.left.size)
    weighted = IntervalRows.of(some.left, some.right, some.cause, some.cluster, weight)
    index = np.random.default_rng(5).permutation(np.repeat(np.arange(some.left.size), weight))
    repeated = fit_incidence(some.select(index))
    fit = fit_incidence(weighted)
    assert fit.pieces == repeated.pieces == weight.sum()
    assert fit.ready.points() == [pytest.approx(point) for point in repeated.ready.points()]
    assert fit.lost.points() == [pytest.approx(point) for point in repeated.lost.points()]


def test_looks_shared_by_all_give_the_life_table():
    """Aalen & Johansen's estimate on a grid, written as a life table of two decrements."""
    random = np.random.default_rng(9)
    visit, kind = random.integers(1, 9, 300), random.choice(3, 300, p=[0.5, 0.2, 0.3])
    grid = 7 * visit
    some = IntervalRows.of(np.where(kind == STILL, grid, grid - 7), grid, kind)
    fit = fit_incidence(some)
    alive, total = 1.0, {READY: 0.0, LOST: 0.0}
    for k in range(1, 9):
        at_risk = np.sum(visit >= k)  # one last seen healing at look k came through stretch k
        at_look = alive
        for cause in (READY, LOST):
            share = at_look * np.sum((visit == k) & (kind == cause)) / at_risk
            total[cause] += share
            alive -= share
            assert fit.curve(cause).cumulative(7 * k) == pytest.approx((total[cause],) * 2)


def test_one_look_each_gives_isotonic_regression():
    """Current status: Ayer, Brunk, Ewing, Reid & Silverman 1955, by scipy's pool of violators."""
    random = np.random.default_rng(10)
    look = random.integers(1, 60, 200)
    ready = random.random(200) < 1.0 - np.exp(-look / 30.0)
    some = IntervalRows.of(
        np.where(ready, 0, look), look, np.where(ready, READY, STILL), np.zeros(200)
    )
    days = np.unique(look)
    count = np.array([np.sum(look == day) for day in days])
    share = np.array([ready[look == day].mean() for day in days])
    expected = isotonic_regression(share, weights=count).x
    lower, upper = fit_incidence(some).ready.bounds(days)
    assert lower == pytest.approx(expected, abs=1e-8)
    # After the last look that found a piece not ready, nothing bounds F from above but 1.
    assert upper[:-1] == pytest.approx(expected[:-1], abs=1e-8)


def test_inside_an_interval_f_is_two_numbers():
    curve = fit_incidence(rows((10, 17, READY), (20, 27, READY))).ready
    found = [curve.cumulative(day) for day in (10, 11, 16, 17, 20, 21, 27)]
    half, one = (0.5, 0.5), (1.0, 1.0)
    assert found == [(0, 0), (0, 0.5), (0, 0.5), half, half, (0.5, 1.0), one]
    assert curve.points() == [
        (0, 0.0, 0.0), (11, 0.0, 0.5), (17, 0.5, 0.5), (21, 0.5, 1.0), (27, 1.0, 1.0),
    ]  # fmt: skip


def test_left_end_of_one_equals_right_end_of_another():
    """(0, 10] and (10, 20] share no day; read as closed they would meet on day 10."""
    fit = fit_incidence(rows((0, 10, READY), (10, 20, READY)))
    assert (fit.ready.left.tolist(), fit.ready.right.tolist()) == ([0, 10], [10, 20])
    assert fit.ready.mass.tolist() == [0.5, 0.5]
    assert (fit.ready.quantile(0.5), fit.ready.quantile(0.51)) == ((0, 10), (10, 20))


def test_a_sweep_moves_the_last_seen_alive_bound_only():
    """Seen alive on 30 but looked at on 5: it was not lost by 25, it may have been ready by 30."""
    fit = fit_incidence(rows((20, 25, LOST), (5, 30, STILL)))
    assert (fit.lost.cumulative(25), fit.lost.cumulative(31)) == ((0.5, 0.5), (0.5, 1.0))
    assert (fit.ready.cumulative(5), fit.ready.cumulative(6)) == ((0, 0), (0, 0.5))
    short = fit_incidence(rows((20, 25, LOST), (5, 5, STILL)))
    assert short.lost.cumulative(25) == (1.0, 1.0)


def test_no_rows():
    fit = fit_incidence(IntervalRows.of([], [], []))
    assert (fit.pieces, fit.loglik, fit.gap, fit.tail_mass) == (0, 0.0, 0.0, 1.0)
    assert fit.ready.points() == fit.lost.points() == [(0, 0.0, 0.0), (1, 0.0, 1.0)]
    assert fit.ready.quantile(0.5) is None


def test_one_piece():
    fit = fit_incidence(rows((14, 21, READY)))
    assert (fit.ready.quantile(0.5), fit.loglik, fit.tail_mass) == ((14, 21), 0.0, 0.0)
    assert fit.lost.points() == [(0, 0.0, 0.0)]


def test_all_lost():
    fit = fit_incidence(rows((0, 7, LOST), (7, 14, LOST), (7, 14, LOST)))
    assert fit.lost.cumulative(14) == pytest.approx((1.0, 1.0))
    assert fit.lost.cumulative(7) == pytest.approx((1 / 3, 1 / 3))
    assert (fit.ready.quantile(0.01), fit.ready.cumulative(99)) == (None, (0.0, 0.0))


def test_all_still_healing():
    fit = fit_incidence(rows((21, 28, STILL), (10, 14, STILL)))
    assert (fit.tail_mass, fit.loglik) == (1.0, 0.0)
    assert fit.ready.points() == [(0, 0.0, 0.0), (22, 0.0, 1.0)]
    assert fit.lost.points() == [(0, 0.0, 0.0), (29, 0.0, 1.0)]


def test_all_ready_at_the_first_check():
    fit = fit_incidence(rows((0, 7, READY), (0, 9, READY), (0, 8, READY)))
    assert (fit.ready.quantile(0.5), fit.ready.cumulative(3)) == ((0, 7), (0.0, 1.0))


def test_a_cause_with_no_events():
    fit = fit_incidence(rows((7, 14, READY), (14, 21, READY), (21, 25, STILL)))
    assert fit.lost.points() == [(0, 0.0, 0.0), (26, 0.0, pytest.approx(1 / 3))]
    assert fit.ready.cumulative(21) == pytest.approx((2 / 3, 2 / 3))
    assert (fit.ready.quantile(0.6), fit.ready.quantile(0.7)) == ((14, 21), None)


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        (([14], [14], [0]), "Row 0: the last look before the event is not before it"),
        (([0, 9], [7, 8], [0, 2]), "Row 1: last seen alive before the last full look"),
        (([0, -1], [7, 8], [0, 1]), "Row 1: a day before the cut"),
        (([0.5], [7], [0]), "Row 0: 'left' is not a whole number"),
        (([0], [float("nan")], [0]), "Row 0: 'right' is missing or infinite"),
        (([0], [float("inf")], [2]), "Row 0: 'right' is missing or infinite"),
        (([0], [7], [3]), "Row 0: unknown cause"),
        (([0], [MAX_DAY + 1], [0]), f"Row 0: a day beyond {MAX_DAY}"),
        (([0], [7], [0], [0], [0]), "Row 0: weight below 1"),
        (([0, 1], [7], [0]), "'right' has shape (1,)"),
        ((["0"], [7], [0]), "'left' holds <U1, not whole numbers"),
    ],
)
def test_rows_that_are_no_intervals_are_refused(columns, sentence):
    with pytest.raises(RowsError) as refusal:
        IntervalRows.of(*columns)
    assert str(refusal.value).startswith(sentence)
    assert "Nothing was fitted" in str(refusal.value)


def test_questions_without_an_answer_are_refused():
    fit = fit_incidence(rows((7, 14, READY)))
    with pytest.raises(ShareError, match="share of pieces"):
        fit.ready.quantile(0.0)
    with pytest.raises(ShareError, match="no event"):
        fit.curve(STILL)


def test_an_accuracy_out_of_reach_is_said():
    grid = fit_incidence(rows((0, 7, READY), (5, 9, READY))).grid
    with pytest.raises(NotSettledError, match="No curve is given"):
        maximise(Runs(grid.lo, grid.hi, grid.weight, grid.columns), gap=-1.0)
