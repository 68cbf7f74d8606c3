"""F averaged over the days between looks: how wide the window is, and what it leaves alone."""

import numpy as np
import pytest

from api.healing.incidence import fit_incidence
from api.healing.resample import leave_one_out
from api.healing.rows import Cause, IntervalRows
from api.healing.smooth import around, days_of, half_width
from tests.reference.brute_bands import averaged, window
from tests.reference.published_data import MERCAPTOPURINE, exact_days, forty_pieces
from tests.reference.simulated import Farm, rows_of, truth

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL


def looks(*weights: int) -> IntervalRows:
    """So many pieces ready in (0, 6], (4, 10], (0, 4], (4, 6], (8, 10], and four still healing."""
    return IntervalRows.of(
        [0, 4, 0, 4, 8, 12], [6, 10, 4, 6, 10, 12], [READY] * 5 + [STILL], weight=[*weights, 4]
    )


def test_the_window_is_as_uneven_as_stretches_are_beyond_their_columns():
    """Columns (0, 4], (4, 6], (8, 10]; (0, 6] holds the first two, (4, 10] the last two."""
    fit = fit_incidence(looks(9, 1, 2, 2, 2))
    assert (fit.ready.left.tolist(), fit.ready.right.tolist()) == ([0, 4, 8], [4, 6, 10])
    a, b, _ = fit.ready.mass
    excess = 36 - (16 * a + 4 * b) / (a + b)  # of more than half of the pieces
    assert half_width(fit, READY) == pytest.approx(excess**0.5 / 2)
    assert half_width(fit, LOST) == 0.0  # nothing was lost


def test_pieces_that_were_forgotten_for_long_do_not_widen_the_window():
    """The middle piece counts: here one whose look is a column itself."""
    assert half_width(fit_incidence(looks(2, 3, 3, 3, 3)), READY) == 0.0


def test_two_columns_of_a_day_are_the_least_that_is_averaged_over():
    """(0, 1] and (1, 2] lie in (0, 2]: the excess is 4 - 1."""
    rows = IntervalRows.of([0, 1, 0, 5], [1, 2, 2, 5], [READY] * 3 + [STILL], weight=[1, 1, 9, 9])
    assert half_width(fit_incidence(rows), READY) == pytest.approx(3.0**0.5 / 2)


def test_days_are_those_about_changes():
    rows = looks(9, 1, 2, 2, 2)
    fit = fit_incidence(rows)
    assert days_of(fit, READY, 0.0).tolist() == [1, 4, 5, 6, 9, 10, 13]
    assert days_of(fit, READY, 1.5).tolist() == list(range(1, 14))
    far = IntervalRows.of([0, 1, 0, 90], [2, 3, 3, 95], [READY] * 4)
    fit = fit_incidence(far)
    # Columns (1, 2] and (90, 95]: two days about each end.
    assert fit.ready.left.tolist() == [1, 90]
    assert days_of(fit, READY, 2.0).tolist() == [1, 2, 3, 4, 5, *range(88, 96)]


@pytest.mark.parametrize("cause", [READY, LOST])
def test_windows_are_those_of_the_rows_own_days(cause):
    found = [forty_pieces()] + [
        rows_of(Farm(cuts, 12, gap, loss=-0.6), np.random.default_rng(cuts))
        for cuts, gap in ((4, 14), (9, 14), (9, 7))
    ]
    for rows in found:
        fit = fit_incidence(rows)
        assert half_width(fit, cause) == pytest.approx(window(rows, fit, cause), abs=1e-9)


def test_days_that_are_known_or_shared_are_not_averaged():
    rows = exact_days(MERCAPTOPURINE)
    fit = fit_incidence(rows)
    days = np.arange(1, 24)
    found = around(fit, READY, days, half_width(fit, READY))
    assert half_width(fit, READY) == 0.0
    assert found.below @ fit.mass == pytest.approx(fit.ready.bounds(days)[0])
    rounds = IntervalRows.of(
        [0, 7, 14, 21, 0], [7, 14, 21, 21, 7], [READY, READY, LOST, STILL, LOST]
    )
    fit = fit_incidence(rounds)
    days = np.arange(1, 30)
    for cause in (READY, LOST):
        found = around(fit, cause, days, half_width(fit, cause))
        assert half_width(fit, cause) == 0.0
        # Within a round nothing is known: the round before, and the one after.
        assert [found.below @ fit.mass, found.above @ fit.mass] == [
            pytest.approx(bound) for bound in fit.curve(cause).bounds(days)
        ]


@pytest.mark.parametrize("cause", [READY, LOST])
def test_averages_equal_small_steps_added_up(cause):
    rows = rows_of(Farm(6, 12, 14, loss=-0.6), np.random.default_rng(3))
    fit = fit_incidence(rows)
    again = leave_one_out(rows, fit)
    days = np.array([1, 3, 9, 20, 33, 41])
    width = 4.3
    found = around(fit, cause, days, width)
    for mass in (fit.mass, *again.mass):
        for side, bound in ((found.below, 0), (found.above, 1)):
            for day, here in zip(days.tolist(), side @ mass, strict=True):
                inside = [
                    (left, right)
                    for left, right in zip(
                        fit.curve(cause).left, fit.curve(cause).right, strict=True
                    )
                    if left < day < right
                ]
                at = int(inside[0][bound]) if inside else day
                assert here == pytest.approx(averaged(fit, mass, cause, at, width), abs=1e-4)


def test_after_the_watching_all_that_may_still_come_is_above():
    rows = IntervalRows.of([3, 9, 20], [5, 12, 20], [READY, LOST, STILL])
    fit = fit_incidence(rows)
    found = around(fit, READY, np.array([20, 21]), 2.0)
    assert found.below @ fit.mass == pytest.approx([1 / 3, 1 / 3])
    assert found.above @ fit.mass == pytest.approx([1 / 3, 2 / 3])


def test_the_average_does_not_run_ahead_where_looks_are_sparse():
    """Looks 14 days apart, give or take 2: towards the end of a round the estimate itself is ahead
    of the truth and at its start behind, the average far less so. 150 farms of 12 cuts."""
    farm = Farm(12, 8, 14, loss=-2.6)
    ready, _ = truth(farm, 60, 200_000)
    off = []
    for run in range(150):
        fit = fit_incidence(rows_of(farm, np.random.default_rng((4, run))))
        days = np.array([24, 32])
        found = around(fit, READY, days, half_width(fit, READY))
        raw = np.mean(fit.ready.bounds(days), axis=0)
        smooth = (found.below + found.above) @ fit.mass / 2.0
        off.append([raw - ready[days], smooth - ready[days]])
    raw, smooth = np.mean(off, axis=0)
    assert raw[0] < -0.05
    assert raw[1] > 0.02
    assert np.all(np.abs(smooth) < 0.75 * np.abs(raw))
