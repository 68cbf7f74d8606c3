"""Counts by a day and Barnard's test, written out table by table."""

from math import comb

import numpy as np
import pytest

from api.healing.compare.counts import Count, Exact, alone, barnard, count_by
from api.healing.errors import RowsError, ShareError
from api.healing.rows import Cause, IntervalRows
from tests.healing.compare.arms_drawn import typed

pytestmark = pytest.mark.filterwarnings("error")


def long_way(one: Count, two: Count) -> float:
    """Every table, its pooled z, and its chance on a dense grid of common shares."""
    (x, n), (y, m) = one, two

    def apart(i: int, j: int) -> float:
        p = (i + j) / (n + m)
        return abs(i / n - j / m) / (p * (1 - p) * (1 / n + 1 / m)) ** 0.5 if 0 < p < 1 else 0.0

    share = np.linspace(0.0, 1.0, 20_001)
    total = np.zeros_like(share)
    for i in range(n + 1):
        for j in range(m + 1):
            if apart(i, j) >= apart(x, y) - 1e-9:
                ways = comb(n, i) * comb(m, j)
                total += ways * share ** (i + j) * (1.0 - share) ** (n + m - i - j)
    return min(float(total.max()), 1.0)


@pytest.mark.parametrize("seed", range(8))
def test_barnard_is_its_definition(seed):
    random = np.random.default_rng(seed)
    n, m = (int(k) for k in random.integers(4, 16, 2))
    one, two = Count(int(random.integers(0, n + 1)), n), Count(int(random.integers(1, m)), m)
    found = barnard(one, two)
    assert found.p == pytest.approx(long_way(one, two), abs=1e-5)
    assert found.smallest == pytest.approx(long_way(Count(n, n), Count(0, m)), abs=1e-7)
    assert barnard(two, one).p == pytest.approx(found.p, abs=1e-6)


def test_the_least_p_is_that_of_all_against_none():
    assert barnard(Count(4, 4), Count(0, 4)) == Exact(
        pytest.approx(2 / 4**4), pytest.approx(2 / 4**4)
    )


@pytest.mark.parametrize(("x", "y"), [(0, 0), (3, 4)])
def test_nothing_or_everything_says_nothing(x, y):
    assert barnard(Count(x, 3), Count(y, 4)).p == 1.0


@pytest.mark.parametrize("bad", [Count(0, 0), Count(5, 4), Count(-1, 4)])
def test_counts_that_are_no_share_are_refused(bad):
    with pytest.raises(ShareError, match="is not a share"):
        barnard(Count(1, 2), bad)


# Day 30: ready before, ready later, lost before, lost later, ready over it, watched, left early.
ROWS = typed("r3-9", "r40-50", "x4-11", "x31-40", "r25-35", "c44", "c20")
OLD = np.full(7, 60)


def test_who_counts_by_a_day():
    assert count_by(ROWS, OLD, Cause.READY, 30) == Count(2, 6)
    assert count_by(ROWS, OLD, Cause.LOST, 30) == Count(1, 6)
    swept = IntervalRows.of([20], [44], [Cause.STILL])
    age = np.array([60])
    assert count_by(swept, age, Cause.LOST, 30) == Count(0, 1)
    assert count_by(swept, age, Cause.READY, 30) == Count(0, 0)


def test_a_young_pieces_loss_does_not_count_before_its_sisters_can():
    young = np.where(np.arange(7) == 2, 29, OLD)
    assert count_by(ROWS, young, Cause.LOST, 30) == Count(0, 5)


def test_what_cannot_be_counted_is_refused():
    with pytest.raises(RowsError, match="Ready or lost is counted"):
        count_by(ROWS, OLD, Cause.STILL, 30)
    with pytest.raises(RowsError, match="an age for each row"):
        count_by(ROWS, OLD[:2], Cause.LOST, 30)
    with pytest.raises(ShareError, match="day 1"):
        count_by(ROWS, OLD, Cause.LOST, 0)


def test_pieces_that_share_a_cut_are_not_alone():
    assert alone(ROWS)
    assert not alone(typed("r1-2 c9"))
    assert not alone(IntervalRows.of([1], [2], [0], weight=[2]))
    assert not alone(IntervalRows.joined(typed("r1-2"), typed("c9")))
