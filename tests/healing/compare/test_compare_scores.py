"""Scores: against the definitions written out on a dense curve, and what 'lost' must not become."""

import numpy as np
import pytest
from lifelines import NelsonAalenFitter

from api.healing.compare.permute import permutation_test, permuted
from api.healing.compare.scores import one_cause, pooled, scores
from api.healing.errors import RowsError, ShareError
from api.healing.incidence import fit_incidence
from api.healing.rows import Cause, IntervalRows
from tests.healing.compare.arms_drawn import apart, typed
from tests.reference.dense_incidence import dense, self_consistent
from tests.reference.simulated import Farm

KINDS = ("sun", "finkelstein", "wilcoxon")


def columns(rows: IntervalRows) -> list[list[int]]:
    return [getattr(rows, name).tolist() for name in ("left", "right", "cause", "cluster")]


def by_definition(rows: IntervalRows, kind: str) -> list[float]:
    """Day by day from self-consistency on every day: no intersections, no Newton, no arrays."""
    problem = dense(rows)
    f = problem.cumulative(self_consistent(problem, 1e-9, 100_000), Cause.READY)
    alive = [1.0 - x for x in f]
    hazard = [0.0]
    for day in range(1, len(alive)):
        fallen = alive[day - 1] - alive[day]
        hazard.append(hazard[-1] + (fallen / alive[day - 1] if fallen > 1e-12 else 0.0))
    found = []
    for left, right, cause in zip(rows.left, rows.right, rows.cause, strict=True):
        s = alive[left]
        r = 0.0 if cause == Cause.STILL else max(alive[right], 0.0)
        if kind == "wilcoxon":
            found.append(s + r - 1.0)
            continue
        log_s = -hazard[left] if kind == "sun" else np.log(s)
        log_r = -hazard[right] if kind == "sun" else np.log(r) if r > 1e-12 else 0.0
        found.append((s * log_s - r * log_r) / (s - r))
    return found


@pytest.mark.parametrize("kind", KINDS)
def test_scores_are_their_definitions(kind):
    """Exact days: then each day's mass is known, and no day is put in the middle of another's."""
    random = np.random.default_rng(4)
    day, ready = random.integers(1, 15, 40), random.random(40) < 0.7
    rows = IntervalRows.of(day - ready, day, np.where(ready, Cause.READY, Cause.STILL))
    assert scores(rows, kind) == pytest.approx(by_definition(rows, kind), abs=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_scores_of_looks_with_gaps_are_their_definitions(kind):
    both, _ = pooled(*apart(3, Farm(2, 8), Farm(2, 8)))
    rows = one_cause(both, Cause.READY)
    curve = fit_incidence(rows).ready
    mass = np.zeros(int(rows.right.max()) + 2)
    mass[curve.right] = curve.mass
    # All mass of an interval on its last day: no row's end lies inside any of them.
    alive = 1.0 - np.cumsum(mass)
    hazard = np.cumsum(np.divide(mass[1:], alive[:-1], out=0.0 * mass[1:], where=mass[1:] > 0))
    hazard = np.concatenate(([0.0], hazard))
    s = alive[rows.left]
    r = np.where(rows.cause == Cause.STILL, 0.0, alive[rows.right])
    expected = {
        "wilcoxon": s + r - 1.0,
        "sun": (-s * hazard[rows.left] + r * hazard[rows.right]) / (s - r),
        "finkelstein": (s * np.log(s) - r * np.log(np.maximum(r, 1e-300))) / (s - r),
    }
    found = scores(rows, kind)
    assert found == pytest.approx(expected[kind], abs=1e-9)
    assert found.sum() == pytest.approx(0.0, abs=1e-6)


def test_sun_on_exact_days_is_event_less_nelson_aalen_hazard():
    random = np.random.default_rng(8)
    day, ready = random.integers(1, 30, 60), random.random(60) < 0.6
    rows = IntervalRows.of(day - ready, day, np.where(ready, Cause.READY, Cause.STILL))
    theirs = NelsonAalenFitter(nelson_aalen_smoothing=False).fit(day, ready)
    hazard = theirs.cumulative_hazard_at_times(day).to_numpy()
    assert scores(rows) == pytest.approx(ready - hazard, abs=1e-7)


def test_weighted_rows_score_as_their_pieces():
    rows = typed("r3-9 r3-9 r0-4 c7 c7 c7")
    short = IntervalRows.of([3, 0, 7], [9, 4, 7], [0, 0, 2], weight=[2, 1, 3])
    assert scores(rows)[[0, 2, 3]] == pytest.approx(scores(short), abs=1e-9)


def test_a_lost_piece_is_not_ready_for_as_long_as_its_sisters_are_watched():
    """Nothing is open in the second cut: it would have been watched like the rest of the farm."""
    rows = typed("r3-9 x0-4 c12", "x5-8 r2-6", "c20")
    assert columns(one_cause(rows, Cause.READY)) == [
        [3, 12, 12, 20, 2, 20], [9, 12, 12, 20, 6, 20], [0, 2, 2, 2, 0, 2], [0, 0, 0, 1, 1, 2],
    ]  # fmt: skip
    assert columns(one_cause(rows, Cause.LOST)) == [
        [12, 0, 12, 5, 20, 20], [12, 4, 12, 8, 20, 20], [2, 0, 2, 0, 2, 2], [0, 0, 0, 1, 1, 2],
    ]  # fmt: skip
    days = [15, 15, 15, 3, 40, 40]
    assert one_cause(rows, Cause.READY, days).left.tolist() == [3, 15, 12, 8, 2, 20]


def test_a_swept_piece_is_censored_at_each_endpoints_own_bound():
    rows = IntervalRows.of([10], [25], [Cause.STILL])
    assert columns(one_cause(rows, Cause.READY))[:2] == [[10], [10]]
    assert columns(one_cause(rows, Cause.LOST))[:2] == [[25], [25]]


def test_loss_is_not_censoring():
    """One method kills what would be slow. Censored when lost it would look the faster one, but
    fewer of the pieces cut become ready."""
    fast = "r9-10 r10-11 r11-12 r12-13 r13-14 r14-15"
    kind = typed(*[fast] * 4)
    harsh = typed(*["r9-10 r10-11 r11-12 x3-4 x4-5 x5-6"] * 4, first=4)
    rows, first = pooled(kind, harsh)
    alone = np.arange(rows.left.size)
    found = permuted(scores(one_cause(rows, Cause.READY)), first, alone)
    censored = np.where(rows.cause == Cause.LOST, Cause.STILL, rows.cause)
    wrong = IntervalRows.of(rows.left, rows.right, censored, rows.cluster)
    assert found.statistic > 0.0
    assert found.p < 0.02
    assert permuted(scores(wrong), first, alone).statistic < 0.0


def test_a_lost_piece_kept_for_ever_would_condemn_the_younger_group():
    """Alike groups, one watched to day 30, one to day 100, nominal 5 %: kept to the last day of
    its own cut no more alarms than that; for ever, several times as many."""
    young, old = Farm(6, 8, watched=(25, 30)), Farm(6, 8, watched=(80, 120))
    own, ever = [], []
    for run in range(100):
        one, two = apart(run, young, old)
        for_ever = np.full(one.left.size, 200), np.full(two.left.size, 200)
        own.append(permutation_test(one, two).p <= 0.05)
        ever.append(permutation_test(one, two, until=for_ever).p <= 0.05)
    assert np.mean(own) <= 0.08
    assert np.mean(ever) >= 0.15


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("text", ["r3-4", "c5 c9", "x1-2 x3-4", "r0-7 r0-7", "r1-2 x1-2 c0"])
def test_scores_of_little_are_finite(kind, text):
    found = scores(one_cause(typed(text), Cause.READY), kind)
    assert np.isfinite(found).all()
    assert found.sum() == pytest.approx(0.0, abs=1e-9)


def test_pieces_that_are_all_alike_say_nothing():
    rows, first = pooled(typed("c9 c9"), typed("c9", first=1))
    found = permuted(scores(rows), first, np.arange(rows.left.size))
    assert (found.statistic, found.p) == (0.0, 1.0)


def test_what_cannot_be_scored_is_refused():
    with pytest.raises(RowsError, match="turn the rows by one_cause first"):
        scores(typed("x1-2"))
    with pytest.raises(RowsError, match="no scores called 'logrank'"):
        scores(typed("r1-2"), "logrank")
    with pytest.raises(RowsError, match="still healing is no event"):
        one_cause(typed("r1-2"), Cause.STILL)
    for until in ([1, 2], [1.5], [-1]):
        with pytest.raises(RowsError, match="whole day since its cut"):
            one_cause(typed("r1-2"), Cause.READY, until)
    with pytest.raises(ShareError, match="One side has no pieces"):
        pooled(typed("r1-2"), IntervalRows.of([], [], []))
