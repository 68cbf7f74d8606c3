"""How large the difference is: shares at a day, the day half are ready, counts by a horizon."""

from dataclasses import astuple

import numpy as np
import pytest
from scipy.stats import t as student
from scipy.stats import ttest_ind, ttest_rel

from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.halves import DayContrast, day_contrast
from api.healing.compare.pair import pair_of
from api.healing.compare.shares import ShareContrast, share_contrast
from api.healing.errors import ShareError, TooFewCutsError
from api.healing.incidence import fit_incidence
from api.healing.proportions import clopper_pearson
from api.healing.resample import leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.healing.compare.arms_drawn import apart, by_day_ten, renumbered, typed
from tests.reference.brute_bands import Z, by_day
from tests.reference.simulated import Farm, truth

READY, LOST = Cause.READY, Cause.LOST


def _f(fit, mass, day):
    grid = fit.grid
    return float(mass[grid.is_ready & (grid.end <= day)].sum())


def test_no_cut_shared_is_welchs_t_of_the_cuts_shares():
    """Equal cuts, all days known: the jackknife of a mean is its standard error."""
    one, two = (9, 2, 7, 5), (1, 6, 2, 0, 3)
    found = share_contrast(pair_of(by_day_ten(*one), by_day_ten(*two, first=9)), READY, 20)
    theirs = ttest_ind(one, two, equal_var=False).confidence_interval()
    middle = 10.0 * (np.mean(one) - np.mean(two))
    assert astuple(found) == pytest.approx(
        (middle, middle, 10.0 * theirs.low, 10.0 * theirs.high), abs=1e-4
    )


def test_all_cuts_shared_is_the_paired_t_of_the_cuts_shares():
    one, two = (9, 2, 7, 5, 3), (1, 4, 6, 0, 4)
    found = share_contrast(pair_of(by_day_ten(*one), by_day_ten(*two)), READY, 20)
    theirs = ttest_rel(one, two).confidence_interval()
    assert (found.low, found.high) == pytest.approx((10 * theirs.low, 10 * theirs.high), abs=1e-4)


def test_some_cuts_shared_equals_leaving_each_out_of_both_the_long_way():
    one = by_day_ten(9, 2, 7, 5)
    two = renumbered(by_day_ten(1, 6, 2, 0, 3), 2)  # cuts 2, ..., 6: two of them shared
    found = share_contrast(pair_of(one, two), READY, 20)
    moves = []
    for cut in range(7):
        each = []
        for rows in (one, two):
            without = [
                fit_incidence(rows.select(rows.cluster != c)).ready.cumulative(20)[0]
                for c in np.unique(rows.cluster)
            ]
            place = np.flatnonzero(np.unique(rows.cluster) == cut)
            scale = (1.0 - 1.0 / rows.cuts) ** 0.5
            away = scale * (np.array(without) - np.mean(without))
            each.append(float(away[place[0]]) if place.size else 0.0)
        moves.append(each)
    a, b = np.array(moves).T
    v, w = a @ a, b @ b
    free = min((v + w) ** 2 / (v * v / 3 + w * w / 4), 6)
    reach = student.ppf(0.975, free) * np.sum((a - b) ** 2) ** 0.5
    middle = 23 / 40 - 12 / 50
    assert (found.low, found.high) == pytest.approx(
        (100 * (middle - reach), 100 * (middle + reach)), abs=1e-4
    )


def test_cuts_that_are_copies_leave_the_binomial_error():
    """Known and not learnt from cuts: the normal quantile."""
    found = share_contrast(pair_of(by_day_ten(5, 5, 5), by_day_ten(2, 2, 2, first=5)), READY, 20)
    reach = Z * (0.25 / 30 + 0.16 / 30) ** 0.5
    assert (found.least, found.low, found.high) == pytest.approx(
        (30.0, 100 * (0.3 - reach), 100 * (0.3 + reach)), abs=1e-4
    )


def test_shared_cuts_that_differ_by_the_same_leave_what_pieces_have_of_their_own():
    """One piece of ten less in every cut: nothing spreads, and the binomial error of both groups
    would count twice what cuts have in common."""
    found = share_contrast(pair_of(by_day_ten(9, 5, 1), by_day_ten(8, 4, 0)), READY, 20)
    own, common = 0.0, []
    for share, cuts in ((0.5, (0.9, 0.5, 0.1)), (0.4, (0.8, 0.4, 0.0))):
        binomial = share * (1.0 - share) / 30
        deff = np.var(cuts, ddof=1) / 3 / binomial
        alike = (deff - 1.0) / 9
        own += (1.0 - alike) * binomial
        common.append((alike * share * (1.0 - share)) ** 0.5 / 3)
    reach = Z * (own + 3 * (common[0] - common[1]) ** 2) ** 0.5
    assert astuple(found) == pytest.approx((10.0, 10.0, 10.0 - 100 * reach, 10.0 + 100 * reach))
    assert reach < 0.7 * Z * (0.25 / 30 + 0.24 / 30) ** 0.5


def test_shared_cuts_that_differ_by_about_chance_are_the_paired_t():
    """A fifth of what pieces alone would leave is seen, which five cuts show now and then: t allows
    for it. Less than an eighth (chi-square with 4 degrees of freedom) would not be believed."""
    one, two = (5, 6, 5, 6, 5), (4, 4, 5, 4, 5)
    found = share_contrast(pair_of(by_day_ten(*one), by_day_ten(*two)), READY, 20)
    theirs = ttest_rel(one, two).confidence_interval()
    assert (found.low, found.high) == pytest.approx((10 * theirs.low, 10 * theirs.high), abs=1e-4)
    one, two = (5, 6, 5, 6, 5), (4, 5, 4, 5, 5)
    found = share_contrast(pair_of(by_day_ten(*one), by_day_ten(*two)), READY, 20)
    reach = 100.0 * Z * ((0.54 * 0.46 + 0.46 * 0.54) / 50) ** 0.5
    assert (found.low, found.high) == pytest.approx((8.0 - reach, 8.0 + reach), abs=1e-4)


def test_looks_on_different_days_are_averaged_over():
    """The long way: F and each jackknife of it, averaged in small steps."""
    groups = apart(6, Farm(6, 12, 14), Farm(5, 9, 14))
    found = share_contrast(pair_of(*groups), READY, 35)
    parts = []
    for rows in groups:
        fit = fit_incidence(rows)
        again = leave_one_out(rows, fit)
        each = np.array([
            [by_day(rows, fit, mass, READY, place)[35] for place in (0, 1)]
            for mass in (fit.mass, *again.mass)
        ])  # fmt: skip
        chance = each[0] * (1.0 - each[0]) / rows.pieces
        parts.append((each[0], again.variance(each[1:]), chance, rows.cuts - 1))
    ends = []
    for place, sign in ((0, -1.0), (1, 1.0)):
        (f, v, c, s), (g, w, d, t) = parts
        f, v, c, g, w, d = f[place], v[place], c[place], g[1 - place], w[1 - place], d[1 - place]
        a, b = max(v, c), max(w, d)
        free = min((a + b) ** 2 / (a * a / s + b * b / t), s + t + 1)
        reach = max(student.ppf(0.975, free) * (v + w) ** 0.5, Z * (c + d) ** 0.5)
        ends.append(100.0 * (f - g + sign * reach))
    assert (found.low, found.high) == pytest.approx(ends, abs=0.01)


def test_none_lost_on_either_side_still_has_limits():
    """Nothing spreads: each side's exact limit, recovered into one interval."""
    found = share_contrast(pair_of(by_day_ten(5, 5), by_day_ten(4, 4, 4, first=5)), LOST, 20)
    limits = [clopper_pearson(0, n).high for n in (20, 30)]
    assert astuple(found) == pytest.approx((0.0, 0.0, -100 * limits[1], 100 * limits[0]))


def test_none_on_one_side_and_all_on_the_other():
    none, every = by_day_ten(0, 0), by_day_ten(10, 10, first=5)
    found = share_contrast(pair_of(none, every), READY, 20)
    reach = 100.0 * 2.0**0.5 * clopper_pearson(0, 20).high
    assert astuple(found) == pytest.approx((-100.0, -100.0, -100.0, -100.0 + reach))


def test_what_is_not_known_inside_an_interval_is_a_range():
    """On day 20 the first group's pieces may all be ready or none of them."""
    one = typed("r10-30 r10-30 c40 c40", "r10-30 c40 c40 c40", "r10-30 r10-30 r10-30 c40")
    two = by_day_ten(2, 4, 3, first=5)
    pair = pair_of(one, two)
    early, inside, late = (share_contrast(pair, READY, day) for day in (10, 20, 30))
    assert (early.least, early.most) == pytest.approx((-30.0, -30.0))
    assert (inside.least, inside.most) == pytest.approx((-30.0, 20.0))
    assert (late.least, late.most) == pytest.approx((20.0, 20.0))
    assert (inside.low, inside.high) == pytest.approx((early.low, late.high))


def test_many_cuts_are_weighted_at_random_and_agree_with_leaving_out():
    one, two = apart(2, Farm(36, 6), Farm(34, 6))
    found, same = (contrast(one, two, 35, seed=3) for _ in range(2))
    assert found == same
    error = 0.0
    for rows in (one, two):
        fit = fit_incidence(rows)
        values = [[_f(fit, mass, 35)] for mass in leave_one_out(rows, fit).mass]
        error += leave_one_out(rows, fit).variance(np.array(values))[0]
    width = (found.ready.high - found.ready.low) - (found.ready.most - found.ready.least)
    assert width / 200.0 / student.ppf(0.975, 67) == pytest.approx(error**0.5, rel=0.15)


def test_swapping_sides_turns_every_sign():
    one, two = apart(9, Farm(6, 10), Farm(5, 7))
    here, there = contrast(one, two, 40), contrast(two, one, 40)

    def turned(found):
        return tuple(None if x is None else -x for x in (
            found.most, found.least, found.high, found.low))  # fmt: skip

    for name in ("ready", "lost", "half"):
        assert astuple(getattr(here, name)) == pytest.approx(turned(getattr(there, name)))


def test_coverage_of_differences():
    """100 pairs of farms that differ in how alike their cuts are; nominal 95 %."""
    one, two = Farm(6, 8), Farm(8, 6, speed_spread=0.1, loss_spread=0.3)
    (r1, x1), (r2, x2) = truth(one, 90), truth(two, 90)
    shift = [100.0 * float(a[35] - b[35]) for a, b in ((r1, r2), (x1, x2))]
    days = int(np.argmax(r1 >= 0.5)) - int(np.argmax(r2 >= 0.5))
    held = []
    for run in range(100):
        found = contrast(*apart(3000 + run, one, two), 35)
        half = found.half or DayContrast(None, None, None, None)
        low, high = half.low, half.high
        held.append([
            found.ready.low <= shift[0] <= found.ready.high,
            found.lost.low <= shift[1] <= found.lost.high,
            (low is None or low <= days) and (high is None or days <= high),
        ])  # fmt: skip
    covered = np.mean(held, axis=0)
    assert covered.min() >= 0.90
    assert covered[:2].max() <= 0.995


@pytest.mark.parametrize("texts", [("r1-2", "x3-4"), ("c9", "c9 c8"), ("x1-2", "x1-5"),
                                   ("r0-5 x0-5", "c3 r1-9")])  # fmt: skip
def test_degenerate_groups_still_have_ordered_limits(texts):
    one, two = typed(*texts), typed("r2-5 c9", "x1-3 c9", first=5)
    for day in (1, 4, 9, 30):
        found = contrast(one, two, day)
        assert isinstance(found, Contrast)
        for each in (found.ready, found.lost):
            ends = [-100.0, each.low, each.least, each.most, each.high, 100.0]
            assert np.isfinite(ends).all()
            assert np.all(np.diff(ends) >= -1e-9)


def test_too_little_or_nonsense_is_refused():
    one, two = by_day_ten(5, 5), by_day_ten(5, first=9)
    with pytest.raises(TooFewCutsError, match=r"2 and 1 cut\(s\)"):
        contrast(one, two, 20)
    with pytest.raises(TooFewCutsError, match=r"0 and 2 cut\(s\)"):
        contrast(IntervalRows.of([], [], []), one, 20)
    pair = pair_of(one, renumbered(one, 5))
    with pytest.raises(ShareError, match="day 1 after the cut or later"):
        share_contrast(pair, READY, 0)
    for refused in (
        lambda: share_contrast(pair, READY, 5, 1.0),
        lambda: day_contrast(pair, level=0.0),
    ):
        with pytest.raises(ShareError, match="confidence level"):
            refused()


def test_a_share_contrast_is_in_pieces_per_hundred():
    found = share_contrast(pair_of(by_day_ten(10, 9, 8), by_day_ten(1, 2, 0, first=4)), READY, 40)
    assert isinstance(found, ShareContrast)
    assert found.least == pytest.approx(80.0)
