"""Shares of pieces with intervals that know pieces come in cuts."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.stats import binom, norm

from api.healing.errors import ShareError, TooFewCutsError
from api.healing.proportions import (
    ClusterCounts,
    Interval,
    clopper_pearson,
    design_effect,
    difference,
    wilson,
)

counts = st.integers(1, 300).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))
litters = st.lists(
    st.integers(1, 9).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))),
    min_size=2,
    max_size=6,
)


def of(pairs: list[tuple[int, int]]) -> ClusterCounts:
    return ClusterCounts.of([y for y, _ in pairs], [n for _, n in pairs])


@given(counts)
def test_wilson_limits_are_where_the_score_test_just_accepts(count):
    """Second way: solve (x/n - p)^2 = z^2 p (1 - p) / n for p as a quadratic."""
    x, n = count
    z2 = norm.ppf(0.975) ** 2
    roots = np.sort(np.roots([1 + z2 / n, -(2 * x / n + z2 / n), (x / n) ** 2]).real)
    assert wilson(x, n) == pytest.approx(roots, abs=1e-7)


@given(counts)
def test_clopper_pearson_limits_leave_half_the_error_in_each_tail(count):
    """Second way: find the p whose binomial tail is 2.5 %."""
    x, n = count
    low, high = clopper_pearson(x, n)
    if x:
        assert low == pytest.approx(brentq(lambda p: binom.sf(x - 1, n, p) - 0.025, 0, 1), abs=1e-6)
    if x < n:
        assert high == pytest.approx(brentq(lambda p: binom.cdf(x, n, p) - 0.025, 0, 1), abs=1e-6)
    assert (low == 0.0, high == 1.0) == (x == 0, x == n)


def test_limits_open_with_the_level_and_the_design_effect():
    for few, more in pairwise([0.5, 0.8, 0.95, 0.99]):
        assert wilson(7, 30, more).low < wilson(7, 30, few).low
        assert wilson(7, 30, more).high > wilson(7, 30, few).high
        assert clopper_pearson(7, 30, more).high > clopper_pearson(7, 30, few).high
    assert wilson(14, 60, deff=2.0) == pytest.approx(wilson(7, 30))
    assert difference((14, 30), (60, 60), deff=2.0) == pytest.approx(difference((7, 15), (30, 30)))


@given(counts, counts)
def test_differences_turn_round(one, two):
    there = difference((one[0], two[0]), (one[1], two[1]))
    back = difference((two[0], one[0]), (two[1], one[1]))
    assert there == pytest.approx((-back.high, -back.low), abs=1e-12)


def by_fractions(cuts: list[tuple[int, int]]) -> Fraction:
    """Rao & Scott's effect in exact arithmetic, litter by litter."""
    size, m = sum(n for _, n in cuts), len(cuts)
    p = Fraction(sum(y for y, _ in cuts), size)
    between = sum((y - n * p) ** 2 for y, n in cuts) * Fraction(m, m - 1) / size**2
    return between / (p * (1 - p) / size) if 0 < p < 1 else Fraction(1)


@given(litters)
def test_design_effects_equal_exact_arithmetic(cuts):
    assert design_effect(of(cuts)) == pytest.approx(float(by_fractions(cuts)))


def test_cuts_that_stand_or_fall_together_count_as_one_piece_each():
    """Six cuts of ten, three lost whole: the effect is 10 pieces times 6/5 for six cuts."""
    whole = of([(10, 10), (0, 10)] * 3)
    assert design_effect(whole) == pytest.approx(12.0)


def test_cuts_more_alike_than_chance_are_not_rewarded():
    alike = of([(5, 10)] * 4)
    assert design_effect(alike) == 0.0


def test_no_losses_and_all_lost_have_no_effect_to_estimate():
    none, every = of([(0, 8), (0, 9)]), of([(8, 8), (9, 9)])
    assert [design_effect(none), design_effect(every)] == [1.0, 1.0]


def test_a_method_of_one_cut_does_not_show_how_cuts_differ():
    with pytest.raises(TooFewCutsError, match="1 cut"):
        design_effect(of([(3, 8)]))


def test_no_pieces_leave_everything_open():
    assert wilson(0, 0) == clopper_pearson(0, 0) == Interval(0.0, 1.0)
    with pytest.raises(ShareError, match="no pieces"):
        difference((0, 3), (0, 9))


@pytest.mark.parametrize(
    ("events", "pieces", "level", "deff"),
    [(5, 4, 0.95, 1), (-1, 4, 0.95, 1), (float("nan"), 4, 0.95, 1), (1, float("inf"), 0.95, 1),
     (1, 4, 1.0, 1), (1, 4, 0.0, 1), (1, 4, 0.95, 0), (1, 4, 0.95, float("nan"))],
)  # fmt: skip
def test_what_is_no_share_is_refused(events, pieces, level, deff):
    with pytest.raises(ShareError):
        wilson(events, pieces, level, deff)


@pytest.mark.parametrize(
    ("events", "pieces"),
    [([1], [1, 2]), ([3], [2]), ([-1], [2]), ([0], [0]), ([float("nan")], [2])],
)
def test_counts_of_cuts_that_do_not_add_up_are_refused(events, pieces):
    with pytest.raises(ShareError):
        ClusterCounts.of(events, pieces)
