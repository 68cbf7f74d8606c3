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
from tests.reference.simulated import Farm

READY, LOST = Cause.READY, Cause.LOST


def _f(fit, mass, day):
    grid = fit.grid
    return float(mass[grid.is_ready & (grid.end <= day)].sum())


def test_the_days_of_half_are_mover_of_both_bands():
    one, two = apart(1, Farm(6, 12, loss_spread=0.1), Farm(5, 12, loss_spread=0.1))
    found = day_contrast(pair_of(one, two), READY, 0.25)
    sides, free = [], []
    for rows in (one, two):
        fit = fit_incidence(rows)
        again = leave_one_out(rows, fit)
        day = fit.ready.quantile(0.25)
        var = band_of(fit, READY, again)
        free.append((rows.cuts - 1, again, fit, day, var))
    variance = [
        float(again.variance(np.array([[_f(fit, m, day[1])] for m in again.mass]))[0])
        for _, again, fit, day, _ in free
    ]
    a, b = variance
    df = min((a + b) ** 2 / (a * a / free[0][0] + b * b / free[1][0]), 10)
    for s, again, fit, day, _ in free:
        level = 2.0 * student.cdf(student.ppf(0.975, df), s) - 1.0
        sides.append((day[0] + 1, day[1], band_of(fit, READY, again, level).quantile(0.25)))
    (f1, l1, r1), (f2, l2, r2) = sides
    low = f1 - l2 - np.hypot(f1 - r1.low, r2.high - l2)
    high = l1 - f2 + np.hypot(r1.high - l1, f2 - r2.low)
    assert found == DayContrast(f1 - l2, l1 - f2, int(np.floor(low)), int(np.ceil(high)))


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
