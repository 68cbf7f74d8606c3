"""Comparisons of two groups against printed numbers, to the printed digit."""

from collections import Counter
from fractions import Fraction
from itertools import product
from math import comb

import numpy as np
import pytest
from scipy.stats import norm

from api.healing.compare.counts import Count, barnard
from api.healing.compare.mover import Limits, mover
from api.healing.compare.permute import permuted
from api.healing.compare.scores import pooled, scores
from api.healing.compare.within import within
from api.healing.proportions import wilson
from api.healing.rows import Cause, IntervalRows
from tests.reference import published_data as data

# Fay & Shaw 2010, J Stat Softw 36(2): the R package interval 1.1-1.0's ictest on the same rows,
# asymptotic permutation form. Its Z takes the group in which retraction came later.
COSMESIS = [
    ("sun", 9.141846, 2.6684, 0.007622),
    ("finkelstein", 9.944182, 2.6839, 0.007277),
    ("wilcoxon", 5.656724, 2.1672, 0.03022),
]


@pytest.mark.parametrize(("kind", "u", "z", "p"), COSMESIS)
def test_breast_cosmesis(kind, u, z, p):
    both = data.one_cause(data.RADIATION_CHEMOTHERAPY), data.one_cause(data.RADIATION)
    rows, first = pooled(*both)
    alone = np.arange(rows.left.size)
    # So many draws are asked for that the normal limit stands in for them.
    found, other = (
        permuted(scores(rows, kind), side, alone, rows.weight, draws=10**6)
        for side in (first, ~first)
    )
    assert found.method == "normal"
    assert found.statistic == pytest.approx(u, abs=5e-7)
    assert norm.isf(found.p / 2.0) == pytest.approx(z, abs=5e-5)
    assert found.p == pytest.approx(p, abs=5e-6 if kind == "wilcoxon" else 5e-7)
    assert (other.statistic, other.p) == pytest.approx((-u, found.p), abs=5e-7)


def test_remission_gives_the_log_rank_test():
    """Freireich et al. 1963: chi-squared 16.7929 (R 4.2.2's survival 3.5-3, survdiff). On exact
    days Sun's U is observed less expected; the hypergeometric variance is written out here."""
    placebo, treated = data.exact_days(data.PLACEBO), data.exact_days(data.MERCAPTOPURINE)
    rows, first = pooled(placebo, treated)
    u = permuted(scores(rows), first, np.arange(rows.left.size), rows.weight).statistic
    variance = 0.0
    for day in np.unique(rows.right[rows.cause == Cause.READY]):
        risk = rows.right >= day
        events = int(((rows.right == day) & (rows.cause == Cause.READY)).sum())
        n, n1 = int(risk.sum()), int((risk & first).sum())
        if n > 1:
            variance += events * n1 / n * (1 - n1 / n) * (n - events) / (n - 1)
    assert u**2 / variance == pytest.approx(16.7929, abs=5e-5)


def test_darwins_maize():
    """Fisher 1935, The Design of Experiments, chapter 3 (from memory): fifteen pairs of crossed and
    self-fertilised plants, differences in eighths of an inch; t = 2.148, and 863 of the 32,768
    arrangements of signs give as large a sum, so 1,726 in both directions."""
    eighths = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]
    pair = np.arange(15)
    crossed, selfed = 100 + np.array(eighths), np.full(15, 100)
    ready = np.full(15, Cause.READY)
    one = IntervalRows.of(crossed - 1, crossed, ready, pair)
    two = IntervalRows.of(selfed - 1, selfed, ready, pair)
    found = within(one, two, "days", 1)
    assert found.estimate == pytest.approx(314 / 15)
    half_width = (found.high - found.low) / 2.0
    assert found.estimate / (half_width / 2.144787) == pytest.approx(2.148, abs=5e-4)
    values = np.concatenate((crossed, selfed)).astype(float)
    chance = permuted(values, np.arange(30) < 15, np.tile(pair, 2), limit=40_000)
    assert (chance.arrangements, chance.p * 32_768) == (32_768, pytest.approx(1_726, abs=1e-6))


def test_the_lady_tasting_tea():
    """Fisher 1935, chapter 2 (from memory): eight cups, four with milk first. All four told right
    is 1 of 70 arrangements, three of four right or better 17; both directions, twice as many."""
    milk = np.array([True] * 4 + [False] * 4)
    cups = np.arange(8)
    every = permuted(milk.astype(float), milk, cups)
    three = permuted(np.array([1.0, 1, 1, 0, 1, 0, 0, 0]), milk, cups)
    assert (every.p, three.p, every.smallest) == pytest.approx((2 / 70, 34 / 70, 2 / 70))


def test_a_small_table_in_fractions():
    """scipy's manual for barnard_exact, the table [[7, 12], [8, 3]]: .068153, which stands in the
    project's list of check values. Four tables tie with the one seen; scipy 1.17 loses two of
    them, 3 and 8 of 15, to a rounding of 2e-16. With all that are as far apart it is .068218."""

    def apart(i: int, j: int) -> Fraction:
        share = Fraction(i + j, 30)
        return Fraction(i - j, 15) ** 2 / (share * (1 - share)) if 0 < share < 1 else Fraction(0)

    pairs = list(product(range(16), repeat=2))
    assert [one for one in pairs if apart(*one) == apart(7, 12)] == [
        (3, 8), (7, 12), (8, 3), (12, 7),
    ]  # fmt: skip
    far = [one for one in pairs if apart(*one) >= apart(7, 12)]
    scipys = [one for one in far if one not in ((3, 8), (8, 3))]

    def largest(tables: list[tuple[int, int]]) -> float:
        shares = [Fraction(k, 400) for k in range(401)]
        ways = Counter[int]()
        for i, j in tables:
            ways[i + j] += comb(15, i) * comb(15, j)
        return float(max(sum(w * p**k * (1 - p) ** (30 - k) for k, w in ways.items())
                         for p in shares))  # fmt: skip

    assert largest(scipys) == pytest.approx(0.068153, abs=5e-7)
    assert largest(far) == pytest.approx(0.068218, abs=2e-6)
    assert barnard(Count(7, 15), Count(12, 15)).p == pytest.approx(0.068218, abs=5e-7)


# Newcombe 1998, Stat Med 17:873, table II, method 10: MOVER of Wilson's limits (Zou & Donner 2008).
NEWCOMBE = [
    ((56, 70), (48, 80), (0.0524, 0.3339)),
    ((9, 10), (3, 10), (0.1705, 0.8090)),
    ((0, 10), (0, 20), (-0.1611, 0.2775)),
    ((10, 10), (0, 10), (0.6075, 1.0)),
]


@pytest.mark.parametrize(("one", "two", "printed"), NEWCOMBE)
def test_recovered_variances_of_shares_are_newcombes_interval(one, two, printed):
    sides = [Limits(x / n, *wilson(x, n)) for x, n in (one, two)]
    assert mover(*sides) == pytest.approx(printed, abs=5e-5)
