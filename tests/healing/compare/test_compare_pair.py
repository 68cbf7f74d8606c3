"""A group keeps its replicates from pair to pair; how many cuts are left out in turn."""

import numpy as np
import pytest
from scipy.stats import ttest_ind

from api.healing.compare import pair as module
from api.healing.compare.pair import pair_of
from api.healing.compare.shares import share_contrast
from api.healing.rows import Cause, IntervalRows
from tests.healing.compare.arms_drawn import apart, by_day_ten, renumbered
from tests.reference.simulated import Farm

pytestmark = pytest.mark.filterwarnings("error")


@pytest.fixture(autouse=True)
def few_draws(monkeypatch):
    """Twenty are enough to see that they are the same; none of them is kept."""
    module._kept.cache_clear()
    monkeypatch.setattr(module, "DRAWS", 20)
    yield
    module._kept.cache_clear()


@pytest.mark.parametrize(
    ("cuts", "shared", "method", "replicates"),
    [(30, False, "jackknife", 60), (31, False, "bootstrap", 40), (31, True, "jackknife", 31)],
)
def test_up_to_sixty_cuts_of_both_together_are_left_out_in_turn(cuts, shared, method, replicates):
    one, two = apart(1, Farm(cuts, 3), Farm(cuts, 3))
    found = pair_of(one, renumbered(two, -1000) if shared else two)
    assert (found.one.again.method, found.two.again.method) == (method, method)
    assert found.replicates == replicates


def test_more_than_two_hundred_cuts_are_welchs_t_without_a_refit(monkeypatch):
    """Equal cuts, all days known: to first order as in truth F is the mean of the cuts' shares."""
    monkeypatch.setattr(module, "refit", None)
    random = np.random.default_rng(3)
    shares = random.integers(0, 9, 201), random.integers(2, 11, 230)
    one, two = (by_day_ten(*each, first=at) for each, at in zip(shares, (0, 500), strict=True))
    found = share_contrast(pair_of(one, two), Cause.READY, 20)
    theirs = ttest_ind(*shares, equal_var=False).confidence_interval()
    assert (found.low, found.high) == pytest.approx((10 * theirs.low, 10 * theirs.high), abs=1e-3)


@pytest.mark.parametrize(
    ("cuts", "shared", "methods", "replicates"),
    [
        ((201, 4), 0, ("influence", "bootstrap"), None),
        ((201, 201), 1, ("bootstrap", "bootstrap"), 20),
    ],
)
def test_where_cuts_are_shared_all_are_weighted(cuts, shared, methods, replicates):
    """Each side by itself else, and what moves the one leaves the other where it is."""
    one, two = (by_day_ten(*range(1, 10), *[5] * (n - 9)) if n > 9 else by_day_ten(1, 5, 5, 7)
                for n in cuts)  # fmt: skip
    found = pair_of(one, renumbered(two, one.cuts - shared))
    assert (found.one.again.method, found.two.again.method) == methods
    assert replicates in (None, found.replicates)
    both = np.intersect1d(found.one.place, found.two.place)
    assert both.size == (20 if shared else 0)


def test_a_group_has_the_same_replicates_beside_any_other():
    one, two = apart(2, Farm(32, 3), Farm(32, 3))
    other = renumbered(two, 5000)
    first, second = pair_of(one, two, 7), pair_of(one, other, 7)
    assert first.one.again is second.one.again
    module._kept.cache_clear()
    afresh = pair_of(one, two, 7)
    for side in ("one", "two"):
        kept, made = (getattr(found, side).again.mass for found in (first, afresh))
        assert np.array_equal(kept, made)
    assert not np.array_equal(pair_of(one, two, 8).one.again.mass, first.one.again.mass)


def test_a_large_group_is_worked_out_each_time(monkeypatch):
    one, two = apart(4, Farm(5, 3), Farm(5, 3))
    kept = pair_of(one, two)
    monkeypatch.setattr(module, "KEPT_ROWS", 3)
    again = pair_of(one, two)
    assert again.one.again is not kept.one.again
    assert np.array_equal(again.one.again.mass, kept.one.again.mass)


def test_a_shared_cut_has_one_weight_on_both_sides():
    """Two groups of the same rows: what a draw does to the one it does to the other."""
    rows, _ = apart(3, Farm(64, 3), Farm(2, 3))
    twin = IntervalRows.of(rows.left, rows.right, rows.cause, rows.cluster, rows.weight)
    found = pair_of(renumbered(rows, -40), renumbered(twin, -40))
    sides = found.one, found.two
    moves = [found.moves(side, side.at(Cause.READY, 35)[1][:, 0]) for side in sides]
    assert moves[0] == pytest.approx(moves[1], abs=1e-12)
    assert np.abs(moves[0]).max() > 0.0
