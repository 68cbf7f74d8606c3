"""The difference of the days by which half of the pieces are ready."""

import numpy as np
import pytest
from scipy.stats import t as student

from api.healing.bands import band_of
from api.healing.compare.halves import DayContrast, day_contrast
from api.healing.compare.mover import Limits, mover
from api.healing.compare.pair import pair_of
from api.healing.incidence import fit_incidence
from api.healing.resample import leave_one_out
from api.healing.rows import Cause
from tests.healing.compare.arms_drawn import apart, by_day_ten, drawn, renumbered
from tests.reference.brute_bands import Z, by_day
from tests.reference.simulated import Farm

READY, LOST = Cause.READY, Cause.LOST


def _f(fit, mass, day):
    grid = fit.grid
    return float(mass[grid.is_ready & (grid.end <= day)].sum())


def _welch(rows, variances):
    (a, b), free = variances, [each.cuts - 1 for each in rows]
    return min((a + b) ** 2 / (a * a / free[0] + b * b / free[1]), sum(free) + 1)


def test_days_move_as_shares_do_over_the_rise_of_the_averaged_curve():
    """The long way: F averaged day by day in small steps, its rise from one error under the share
    to one over it."""
    two = apart(1, Farm(6, 12, loss_spread=0.1), Farm(5, 12, loss_spread=0.1))
    found = day_contrast(pair_of(*two), READY, 0.25)
    days, moves, floors, ranges = [], [], [], []
    for rows in two:
        fit, again = fit_incidence(rows), leave_one_out(rows, fit_incidence(rows))
        each = [by_day(rows, fit, mass, READY) for mass in (fit.mass, *again.mass)]
        rise = np.maximum.accumulate(each[0])
        day = np.interp(0.25, rise, np.arange(rise.size))
        error = float(again.variance(np.array(each[1:])[:, [round(day)]])[0])
        width = max(error, 0.25 * 0.75 / rows.pieces) ** 0.5
        start, stop = np.interp([0.25 - width, 0.25 + width], rise, np.arange(rise.size))
        per = (stop - start) / 2 / width
        days.append(day)
        moves.append(error * per**2)
        floors.append(0.25 * 0.75 / rows.pieces * per**2)
        ranges.append(fit.ready.quantile(0.25))
    larger = [max(pair) for pair in zip(moves, floors, strict=True)]
    reach = max(student.ppf(0.975, _welch(two, larger)) * sum(moves) ** 0.5, Z * sum(floors) ** 0.5)
    (f1, l1), (f2, l2) = ranges
    middle = days[0] - days[1]
    assert found == DayContrast(
        f1 + 1 - l2, l1 - f2 - 1, round(middle - reach), round(middle + reach)
    )


def test_where_a_curve_does_not_rise_far_enough_limits_are_mover_of_both_bands():
    """A share just under what ever gets ready in the first group."""
    one, two = apart(1, Farm(6, 12, loss_spread=0.1), Farm(5, 12, loss=-4.0, loss_spread=0.1))
    share = float(fit_incidence(one).ready.mass.sum()) - 0.01
    found = day_contrast(pair_of(one, two), READY, share)
    sides, variances = [], []
    for rows in (one, two):
        fit = fit_incidence(rows)
        again = leave_one_out(rows, fit)
        day = fit.ready.quantile(share)
        each = np.array([[_f(fit, m, day[1])] for m in again.mass])
        variances.append(float(again.variance(each)[0]))
        sides.append((rows.cuts, fit, again, day))
    reach = student.ppf(0.975, _welch((one, two), variances))
    limits = []
    for cuts, fit, again, day in sides:
        level = 2.0 * student.cdf(reach, cuts - 1) - 1.0
        limits.append((day[0] + 1, day[1], band_of(fit, READY, again, level).quantile(share)))
    (f1, l1, r1), (f2, l2, r2) = limits
    low = (
        None
        if r2.high is None
        else np.floor(f1 - l2 - np.hypot(f1 - min(r1.low, f1), r2.high - l2))
    )
    high = (
        None if r1.high is None else np.ceil(l1 - f2 + np.hypot(r1.high - l1, f2 - min(r2.low, f2)))
    )
    assert found == DayContrast(f1 - l2, l1 - f2, low, high)
    assert (low, high) != (None, None)


def test_a_side_that_never_gets_half_ready_gives_one_limit():
    """Few of the second are ready by day 40, when watching stops: at most so many days later."""
    one = by_day_ten(10, 9, 10, 9)
    two = by_day_ten(1, 0, 0, 1, first=5)
    found, other = day_contrast(pair_of(one, two)), day_contrast(pair_of(two, one))
    assert found == DayContrast(None, None, None, 10 - 41)
    assert other == DayContrast(None, None, 41 - 10, None)
    both = pair_of(two, renumbered(two, 50))
    assert day_contrast(both) is None


def test_half_never_ready_at_all_says_nothing():
    """All lost: there is no such day, and none to come."""
    dead, fine = by_day_ten(10, 10, 10, lost=True), by_day_ten(9, 10, 10, first=5)
    assert day_contrast(pair_of(dead, fine)) is None


def test_days_beyond_what_is_trusted_are_not_reached():
    one, two = apart(4, Farm(8, 12, loss_spread=0.1), Farm(8, 12, loss_spread=0.1))
    pair = pair_of(one, two)
    whole, cut_off = day_contrast(pair), day_contrast(pair, ends=(20, None))
    assert None not in (whole.least, whole.most)
    assert (cut_off.least, cut_off.most, cut_off.high) == (None, None, None)
    assert cut_off.low <= 21


def test_medians_of_shared_cuts_go_together():
    """Both arms of a cut alike: the cuts' own differences cancel in the interval of the days."""
    one, two = drawn(Farm(10, 24, speed_spread=0.6, loss_spread=0.1), 6)
    apart_two = renumbered(two, 500)
    shared, alone = day_contrast(pair_of(one, two)), day_contrast(pair_of(one, apart_two))
    assert (shared.least, shared.most) == (alone.least, alone.most)
    assert shared.high - shared.low < 0.8 * (alone.high - alone.low)


def test_mover_of_wilson_limits_is_newcombes_interval_and_alike_sides_cancel():
    assert mover(Limits(3.0, 1.0, 4.0), Limits(2.0, 0.0, 4.0)) == pytest.approx(
        (1.0 - 8.0**0.5, 1.0 + 5.0**0.5)
    )
    assert mover(Limits(3.0, 1.0, 5.0), Limits(2.0, 0.0, 4.0), 1.0) == (1.0, 1.0)
