"""All units at once gives what unit by unit gives: farms of every kind, drawn."""

from dataclasses import replace

import numpy as np
import pytest

from api.healing.rows import Cause, IntervalRows
from api.healing.warn import hazard, looks
from api.healing.warn.expected import LEFT_OUT_UP_TO, expected_losses, others_curves
from api.healing.warn.funnel import funnel
from api.healing.warn.hazard import SPREAD_STEP, usual
from api.healing.warn.sequential import ACT_RATIO, LOOK_RATIO, alarms
from tests.healing.warn.one_by_one import every_evidence, oddness_of
from tests.reference.simulated import Farm, rows_of

pytestmark = pytest.mark.filterwarnings("error")


def any_rows(random: np.random.Generator) -> IntervalRows:
    """Rows of two to nine units with names that leave gaps, in no order, of any weight and end; a
    piece may be lost on its first day or never seen after the cut."""
    size = int(random.integers(4, 60))
    left = random.integers(0, 40, size)
    right = left + random.integers(1, 12, size)
    cause = random.choice(3, size, p=random.dirichlet((1, 1, 1)))
    right = np.where((cause == Cause.STILL) & (random.random(size) < 0.5), left, right)
    names = random.choice(1000, int(random.integers(2, 10)), replace=False)
    cluster = np.concatenate((names[:2], random.choice(names, size - 2)))
    return IntervalRows.of(left, right, cause, cluster, random.integers(1, 4, size))


def agree(rows: IntervalRows) -> None:
    found, slow = alarms(rows, others_curves(rows)), every_evidence(rows)
    assert [one.unit for one in found] == np.unique(rows.cluster).tolist()
    assert [[(e.day, e.lost) for e in one.evidence] for one in found] == [
        [(e.day, e.lost) for e in each] for each in slow
    ]
    for one, each in zip(found, slow, strict=True):
        assert [e.expected for e in one.evidence] == pytest.approx(
            [e.expected for e in each], rel=1e-9
        )
        assert [e.ratio for e in one.evidence] == pytest.approx([e.ratio for e in each], rel=1e-7)
        called = [(e.ratio >= ACT_RATIO, e.ratio >= LOOK_RATIO, e.day) for e in each]
        act = [day for is_act, _, day in called if is_act]
        look = [day for _, is_look, day in called if is_look]
        level = "act" if act else "look" if look else "usual"
        assert (one.level, one.since) == (level, (act or look or [None])[0])


def test_farms_of_any_rows():
    random = np.random.default_rng(21)
    for _ in range(10):
        agree(any_rows(random))


def test_a_farm_of_more_units_than_are_left_out_one_by_one_in_many_blocks(monkeypatch):
    monkeypatch.setattr(looks, "AT_ONCE", 37)
    rows = rows_of(Farm(LEFT_OUT_UP_TO + 5, 3, watched=(20, 90)), np.random.default_rng(22))
    agree(rows.select(np.random.default_rng(23).permutation(rows.left.size)))


def test_units_of_a_large_farm_share_spreads_and_answers_stay_what_they_were(monkeypatch):
    """Each unit's spread is learnt without it, so that no two were the same; rounding them moves no
    ratio by a hundredth part, and no unit's level or day. 250 units of which six are bad."""
    farm = Farm(244, 6, loss_spread=0.01, watched=(20, 90))
    usual_ones = rows_of(farm, np.random.default_rng(26))
    bad = rows_of(Farm(6, 20, loss=1.0, watched=(60, 90)), np.random.default_rng(27))
    rows = IntervalRows.joined(usual_ones, replace(bad, cluster=bad.cluster + 244))
    shared, found = usual(rows).spread, alarms(rows)
    monkeypatch.setattr(hazard, "SPREAD_STEP", 1e-12)
    apart, exact = usual(rows).spread, alarms(rows)
    assert np.unique(apart).size > 150
    assert np.unique(shared).size < 60
    assert shared == pytest.approx(apart, rel=SPREAD_STEP)
    assert [(one.level, one.since) for one in found] == [(one.level, one.since) for one in exact]
    assert {one.level for one in found} == {"usual", "look", "act"}
    for one, other in zip(found, exact, strict=True):
        assert one.trail.ratio == pytest.approx(other.trail.ratio, rel=0.01)


def test_funnels_of_units_of_every_size():
    random = np.random.default_rng(24)
    for _ in range(10):
        pieces = random.integers(1, 30, int(random.integers(2, 20))).astype(float)
        lost = random.binomial(pieces.astype(int), random.random(pieces.size) ** 3).astype(float)
        expected = pieces * random.random(pieces.size) * 0.6
        found, slow = funnel(lost, pieces, expected), oddness_of(lost, pieces, expected)
        assert [one.level for one in found] == [level for _, level in slow]
        assert [one.mid_p for one in found] == pytest.approx([odd for odd, _ in slow], rel=1e-6)
        assert [one.expected for one in found] == pytest.approx(expected.tolist(), rel=1e-12)


def test_what_is_expected_by_one_curve_is_summed_by_unit():
    rows = rows_of(Farm(LEFT_OUT_UP_TO + 1, 4), np.random.default_rng(25))
    found, [(_, curve)] = expected_losses(rows), others_curves(rows).curves
    day = np.where(rows.cause == Cause.STILL, rows.right, rows.last_seen())
    low, high = curve.bounds(np.minimum(day, curve.tail_from))
    by_hand = [((low + high) / 2)[rows.cluster == unit].sum() for unit in found.units]
    assert found.expected == pytest.approx(by_hand)
