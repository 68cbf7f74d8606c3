"""Two methods compared as if all else had been alike, and when that cannot be done."""

import numpy as np
import pytest

from api.healing.errors import NotSettledError, RowsError, ShareError, TooFewCutsError
from api.healing.predict.adjusted import adjusted_difference
from api.healing.predict.errors import NotSeparatedError
from api.healing.proportions import difference
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import outcomes

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL
pytestmark = pytest.mark.filterwarnings("error")


def tangled(seed: int, cuts: int = 24, slower: float = 0.0, spread: float = 0.15):
    """(rows, method, large): large pieces are slow, and the second method got most of them; the
    method itself makes `slower` (log) of a difference. Seen daily to day 90."""
    random = np.random.default_rng(seed)
    cut = np.repeat(np.arange(cuts), 10)
    method = cut % 2
    large = random.random(cut.size) < np.where(method == 1, 0.75, 0.25)
    speed = np.exp(random.normal(0, spread, cuts)[cut] + 0.4 * large + slower * method)
    lost, time = outcomes(random, speed, np.full(cut.size, -2.0))
    day = np.ceil(time).astype(int)
    seen = day <= 90
    rows = IntervalRows.of(
        np.where(seen, day - 1, 90), np.where(seen, day, 90),
        np.where(seen, np.where(lost, LOST, READY), STILL), cut,
    )  # fmt: skip
    return rows, method, large.astype(float)[:, None]


def test_a_difference_that_is_only_of_size_goes_away():
    rows, method, large = tangled(1, 80)
    crude = adjusted_difference(rows, method, None, [], 0, 1, 35)
    found = adjusted_difference(rows, method, large, ["large"], 0, 1, 35)
    assert crude.ready.high < -0.05
    assert found.ready.low < 0.0 < found.ready.high
    assert abs(found.ready.difference) < 0.08
    assert found.half is not None
    assert abs(found.half.difference) < 3.0 < crude.half.difference
    assert (found.adjusted_for, crude.adjusted_for) == (("large",), ())
    assert found.cuts == 80


def test_one_trait_in_two_kinds_equals_the_mean_of_two_plain_comparisons():
    """Standardised by hand: shares ready by day 35 in each kind, weighted as all pieces are."""
    rows, method, large = tangled(2, 100, slower=0.2)
    found = adjusted_difference(rows, method, large, ["large"], 0, 1, 35).ready
    early = (rows.cause == READY) & (rows.right <= 35)
    plain = [
        sum(early[(method == m) & (large[:, 0] == k)].mean() * (large[:, 0] == k).mean()
            for k in (0, 1))
        for m in (0, 1)
    ]  # fmt: skip
    assert [found.first, found.second] == pytest.approx(plain, abs=0.05)
    assert found.difference == found.second - found.first


def test_swapped_groups_swap_the_sign():
    rows, method, large = tangled(3)
    one = adjusted_difference(rows, method, large, ["large"], 0, 1, 35)
    two = adjusted_difference(rows, method, large, ["large"], 1, 0, 35)
    for name in ("ready", "lost", "half"):
        a, b = getattr(one, name), getattr(two, name)
        assert [a.difference, a.low, a.high] == pytest.approx(
            [-b.difference, -b.high, -b.low], abs=1e-3
        )


def test_intervals_hold_when_cuts_differ():
    """60 farms of 12 cuts without a difference; nominal 95 %."""
    held = []
    for seed in range(60):
        rows, method, large = tangled(1000 + seed, 12, spread=0.3)
        found = adjusted_difference(rows, method, large, ["large"], 0, 1, 35)
        held.append([one.low <= 0.0 <= one.high for one in (found.ready, found.lost)])
    share = np.mean(held, axis=0)
    assert share.min() >= 0.88


def refused(x: np.ndarray, names: list[str]) -> str:
    rows, method, _ = tangled(4)
    with pytest.raises(NotSeparatedError) as caught:
        adjusted_difference(rows, method, x, names, 0, 1, 35)
    return str(caught.value)


def test_a_trait_of_one_group_alone_cannot_be_separated():
    method = np.repeat(np.arange(24), 10) % 2
    assert "'on tile': of 100 %" in refused(method[:, None].astype(float), ["on tile"])
    half = (method * (np.arange(240) % 2)).astype(float)[:, None]
    assert "'on tile': of 25 %" in refused(half, ["on tile"])


def test_traits_that_together_tell_the_group_cannot_be_separated():
    method = np.repeat(np.arange(24), 10) % 2
    a = np.random.default_rng(0).integers(0, 40, 240).astype(float)
    assert "'a', 'b' taken together" in refused(np.stack((a, a + method), axis=1), ["a", "b"])


def test_what_cannot_be_compared_is_refused():
    rows, method, large = tangled(5)
    for error, said, change in (
        (RowsError, "with itself", {"second": 0}),
        (RowsError, "second group has no pieces", {"second": 7}),
        (RowsError, "1 traits and 0 names", {"names": []}),
        (ShareError, "confidence level", {"level": 1.0}),
        (ShareError, "day 1 or later", {"day": 0}),
    ):
        given = {"names": ["large"], "first": 0, "second": 1, "day": 35, **change}
        with pytest.raises(error, match=said):
            adjusted_difference(rows, method, large, **given)
    with pytest.raises(TooFewCutsError, match="one cut only"):
        adjusted_difference(rows, (rows.cluster == 3).astype(int), None, [], 0, 1, 35)
    lost = IntervalRows.of([1] * 8, [2] * 8, [LOST] * 8, np.arange(8) // 2)
    with pytest.raises(NotSettledError, match="No piece of these groups"):
        adjusted_difference(lost, np.arange(8) // 4, None, [], 0, 1, 35)


def test_half_that_is_not_reached_has_no_difference():
    cause = np.tile([READY, LOST, LOST, LOST], 20)
    rows = IntervalRows.of(np.arange(80) % 20, np.arange(80) % 20 + 7, cause, np.arange(80) // 8)
    found = adjusted_difference(rows, rows.cluster % 2, None, [], 0, 1, 20)
    assert found.half is None
    assert found.ready.first == pytest.approx(0.25, abs=0.06)


def test_cuts_that_are_alike_by_chance_are_no_surer_than_their_pieces():
    """Six equal cuts a side, none of sixty lost beside twelve: no cut left out moves anything."""
    one = IntervalRows.of([7] * 60, [14] * 60, [Cause.READY] * 60, np.repeat(np.arange(6), 10))
    two = IntervalRows.of(
        [7] * 60, [14] * 60, ([Cause.READY] * 8 + [Cause.LOST] * 2) * 6,
        np.repeat(np.arange(6, 12), 10),
    )  # fmt: skip
    rows = IntervalRows.joined(one, two)
    found = adjusted_difference(rows, np.repeat([0, 1], 60), np.zeros((120, 0)), [], 0, 1, 14)
    least = difference((12, 0), (60, 60))
    assert found.lost.low <= least.low + 0.02
    assert found.lost.high >= least.high - 0.02
