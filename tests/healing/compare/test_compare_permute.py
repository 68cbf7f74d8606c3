"""The permutation test: every arrangement written out, the least p of a design, false alarms."""

from itertools import product

import numpy as np
import pytest
from scipy.stats import permutation_test as scipy_permutation

from api.healing.compare.permute import permutation_test, permuted
from api.healing.compare.scores import one_cause, pooled, scores
from api.healing.errors import RowsError, ShareError
from api.healing.rows import Cause, IntervalRows
from tests.healing.compare.arms_drawn import apart, drawn, renumbered, typed
from tests.reference.simulated import Farm, rows_of


def long_way(score, first, unit):
    """(p, arrangements) by going through all labellings of pieces and keeping the allowed ones."""
    at = {u: [i for i, other in enumerate(unit) if other == u] for u in unit}
    whole = [u for u in at if len({first[i] for i in at[u]}) == 1]
    shared = [u for u in at if u not in whole]

    def allowed(labels):
        together = all(len({labels[i] for i in at[u]}) == 1 for u in whole)
        as_many = all(sum(labels[i] - first[i] for i in at[u]) == 0 for u in shared)
        return together and as_many and sum(labels[at[u][0]] - first[at[u][0]] for u in whole) == 0

    def moved(labels):
        sums = [sum(score[i] for i in at[u]) for u in whole]
        total = sum(s - np.mean(sums) for s, u in zip(sums, whole, strict=True) if labels[at[u][0]])
        for u in shared:
            mean = np.mean([score[i] for i in at[u]])
            total += sum(score[i] - mean for i in at[u] if labels[i])
        return total

    each = [moved(x) for x in product([False, True], repeat=len(score)) if allowed(x)]
    return np.mean([abs(x) >= abs(moved(first)) - 1e-9 for x in each]), len(each)


DESIGNS = {
    "cuts whole": ([0, 0, 1, 2, 2, 2, 3, 4, 4], [1, 1, 1, 0, 0, 0, 0, 0, 0]),
    "all cuts shared": ([0, 0, 0, 1, 1, 1, 1, 2, 2], [1, 0, 0, 1, 1, 0, 0, 1, 0]),
    "some of both": ([0, 0, 1, 2, 2, 3, 3, 3, 4], [1, 1, 1, 0, 0, 1, 0, 0, 0]),
    "one side wholly in shared cuts": ([0, 0, 1, 1, 1, 2, 3], [1, 0, 1, 1, 0, 0, 0]),
}


@pytest.mark.parametrize("name", DESIGNS)
def test_every_arrangement_counts_once(name):
    unit, first = (np.array(x) for x in DESIGNS[name])
    for seed in range(5):
        score = np.random.default_rng(seed).normal(size=unit.size).round(1)
        p, count = long_way(score.tolist(), [bool(x) for x in first], unit.tolist())
        found = permuted(score, first == 1, unit)
        assert (found.p, found.arrangements, found.method) == (
            pytest.approx(p), count, "exact",
        )  # fmt: skip


def test_whole_cuts_equal_scipys_permutation_of_cut_sums():
    rows = apart(5, Farm(5, 6), Farm(6, 6))
    both, first = pooled(*rows)
    score = scores(one_cause(both, Cause.READY))
    sums = [[score[both.cluster == c].sum() for c in np.unique(both.cluster[s])] for s in
            (first, ~first)]  # fmt: skip
    theirs = scipy_permutation(
        sums, lambda x, y: abs(np.mean(x) - np.mean(y)), n_resamples=np.inf, alternative="greater"
    )
    found = permutation_test(*rows)
    assert (found.p, found.arrangements) == (pytest.approx(theirs.pvalue, abs=1e-12), 462)


@pytest.mark.parametrize(
    ("one", "two", "arrangements", "smallest"),
    [(3, 3, 20, 0.1), (4, 4, 70, 0.029), (3, 4, 35, 0.029), (1, 1, 2, 1.0), (2, 2, 6, 0.333)],
)
def test_the_least_p_of_so_many_cuts(one, two, arrangements, smallest):
    """Reached where one group is wholly earlier than the other."""
    early = typed(*["r3-4 r3-5"] * one)
    late = typed(*["r20-24 r22-25 r30-31"] * two, first=one)
    found = permutation_test(early, late)
    assert (found.arrangements, round(found.smallest, 3), found.method) == (
        arrangements, smallest, "exact",
    )  # fmt: skip
    assert found.p == pytest.approx(found.smallest)
    assert found.statistic > 0.0


def test_the_least_p_with_cuts_shared():
    """Two cuts of two against two: 6 x 6 arrangements with mirrors; one against two has none."""
    even = permuted(np.arange(8.0), np.array([1, 1, 0, 0] * 2) == 1, np.repeat([0, 1], 4))
    odd = permuted(np.arange(6.0), np.array([1, 0, 0] * 2) == 1, np.repeat([0, 1], 3))
    assert (even.arrangements, even.smallest) == (36, 2 / 36)
    assert (odd.arrangements, odd.smallest) == (9, 1 / 9)


def test_what_cuts_differ_by_does_not_enter_where_they_are_shared():
    one, two = drawn(Farm(5, 8), 2)
    both, first = pooled(one, two)
    score = scores(one_cause(both, Cause.READY))
    shifted = score + 50.0 * both.cluster
    found, same = (permuted(each, first, both.cluster, seed=1) for each in (score, shifted))
    assert found.statistic == pytest.approx(same.statistic, abs=1e-6)
    assert found.p == same.p


def test_drawn_arrangements_come_near_all_of_them_and_repeat():
    one, two = apart(11, Farm(8, 6), Farm(8, 6))
    both, first = pooled(one, two)
    score = scores(one_cause(both, Cause.READY))
    full = permuted(score, first, both.cluster)
    some = [permuted(score, first, both.cluster, limit=100, seed=seed) for seed in (1, 1, 2)]
    assert (full.arrangements, full.method, some[0].method) == (12_870, "exact", "drawn")
    assert some[0] == some[1] != some[2]
    assert some[0].smallest == full.smallest == 2 / 12_870
    assert some[0].p == pytest.approx(full.p, abs=4.0 * (full.p * (1 - full.p) / 9_999) ** 0.5)


def test_a_drawn_p_is_never_nothing():
    one, two = typed(*["r1-2"] * 20), typed(*["r8-9"] * 20, first=20)
    found = permutation_test(one, two)
    assert (found.p, found.smallest, found.arrangements) == (1 / 10_000, 1 / 10_000, 137846528820)


def test_thousands_of_cuts_take_the_normal_limit():
    """Against draws of the same design."""
    random = np.random.default_rng(0)
    unit = np.repeat(np.arange(1600), 2)
    first = np.where(unit < 500, np.tile([True, False], 1600), unit % 2 == 0)
    score = random.normal(size=3200) + 0.05 * first
    limit = permuted(score, first, unit)
    draws = permuted(score, first, unit, draws=4_000)
    assert (limit.method, limit.arrangements, draws.method) == ("normal", None, "drawn")
    assert limit.p == pytest.approx(draws.p, abs=0.03)


@pytest.mark.parametrize("cause", [Cause.READY, Cause.LOST])
def test_false_alarms_are_as_rare_as_stated(cause):
    """250 pairs of alike groups of six cuts of eight: 5 % of p at most .05, and 20 % at most .2,
    within three standard errors. Taking pieces one by one is the control: too many alarms."""
    farm = Farm(6, 8)
    cuts, pieces = [], []
    for run in range(250):
        one, two = apart(500 + run, farm, farm)
        cuts.append(permutation_test(one, two, cause).p)
        alone = tuple(np.arange(rows.left.size) + k for rows, k in ((one, 0), (two, 1000)))
        both, first = pooled(one, two)
        score = scores(one_cause(both, cause))
        pieces.append(permuted(score, first, np.concatenate(alone), draws=199).p)
    found = np.array(cuts)
    assert np.mean(found <= 0.05) <= 0.05 + 3.0 * (0.05 * 0.95 / 250) ** 0.5
    assert abs(np.mean(found <= 0.2) - 0.2) <= 3.0 * (0.2 * 0.8 / 250) ** 0.5
    assert np.mean(np.array(pieces) <= 0.05) >= 0.1


def test_a_slower_group_is_found():
    """Half as slow again, ten cuts a side with few of their losses by cut, 40 pairs. As many become
    ready in the end, so Sun's scores, which weigh late days, see less of it than Wilcoxon's."""
    farm, found = Farm(10, 8, speed_spread=0.15, loss_spread=0.1), []
    for run in range(40):
        one, two = (rows_of(farm, np.random.default_rng(seed)) for seed in (run, 900 + run))
        left = two.left * 3 // 2
        right = np.maximum(two.right * 3 // 2, left + 1)
        late = IntervalRows.of(left, right, two.cause, two.cluster + 1000)
        found.append([permutation_test(one, late, kind=kind) for kind in ("sun", "wilcoxon")])
    seen = np.mean([[one.p <= 0.05 for one in each] for each in found], axis=0)
    assert seen[0] >= 0.25
    assert seen[1] >= 0.65
    assert np.mean([[one.statistic > 0.0 for one in each] for each in found]) >= 0.95


def test_where_nothing_can_be_dealt_otherwise_p_is_one():
    """One side's only cuts shared with no piece to swap, or all pieces of a cut alike."""
    one = permuted(np.array([1.0, 2.0]), np.array([True, True]), np.array([0, 1]))
    assert (one.p, one.smallest, one.arrangements, one.method) == (1.0, 1.0, 1, "exact")
    alike = permutation_test(typed("c9 c9", "c9 c9"), typed("c9", "c9 c9 c9", first=2))
    assert (alike.p, alike.arrangements) == (1.0, 6)


def test_weights_count_pieces():
    short = IntervalRows.of([3, 0, 3], [9, 4, 9], [0, 0, 0], [0, 0, 1], [2, 1, 3])
    full = typed("r3-9 r3-9 r0-4", "r3-9 r3-9 r3-9")
    other = typed("r0-2 c14", "r5-8 x2-3", first=1)
    found, same = permutation_test(short, other), permutation_test(full, other)
    assert (found.p, found.arrangements) == (same.p, same.arrangements)
    assert found.statistic == pytest.approx(same.statistic, abs=1e-7)


def test_columns_that_do_not_fit_are_refused():
    rows = typed("r1-2 r3-4"), renumbered(typed("r1-2"), 5)
    with pytest.raises(RowsError, match="'until' needs one whole number for each row"):
        permutation_test(*rows, until=([1, 2], [1.5]))
    with pytest.raises(RowsError, match="'until' needs one whole number for each row"):
        permutation_test(*rows, until=([1], [1]))
    with pytest.raises(RowsError, match="one value for each row"):
        permuted(np.zeros(3), np.ones(2, bool), np.zeros(3, np.int64))
    with pytest.raises(ShareError, match="missing or infinite"):
        permuted(np.array([np.nan]), np.ones(1, bool), np.zeros(1, np.int64))
    with pytest.raises(ShareError, match="One side has no pieces"):
        permutation_test(rows[0], IntervalRows.of([], [], []))
