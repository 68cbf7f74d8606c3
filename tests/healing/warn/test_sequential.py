"""A unit followed look by look: what its losses weigh, and how seldom a usual one is called out."""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from api.healing.errors import ShareError, TooFewCutsError
from api.healing.incidence import fit_incidence
from api.healing.rows import Cause, IntervalRows
from api.healing.warn.hazard import Usual, summed, usual
from api.healing.warn.sequential import (
    ACT_RATE,
    ACT_RATIO,
    LOOK_RATE,
    LOOK_RATIO,
    TIMES,
    Evidence,
    alarms,
    follow,
)
from tests.healing.warn.false_alarms import farm_of, with_a_bad_one
from tests.healing.warn.one_by_one import replayed
from tests.reference.simulated import Farm, rows_of

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL
HAZARD = np.linspace(0.0, 0.6, 61)
"""A hundredth a day."""


def by_hand(rows: list[tuple[int, int, Cause]], spread: float) -> float:
    """Both readings by numerical integration over the unit's factor; one piece a row."""

    def given(factor: float) -> float:
        chance = 1.0
        for left, right, cause in rows:
            if cause == LOST:
                chance *= np.exp(-factor * HAZARD[left]) - np.exp(-factor * HAZARD[right])
            elif cause == READY:
                chance *= np.exp(-factor * (HAZARD[left] + HAZARD[right]) / 2)
            else:
                chance *= np.exp(-factor * HAZARD[right])
        return chance

    units = gamma(1 / spread, scale=spread)
    usual_one, *worse = (
        quad(lambda z, r=r: given(r * z) * units.pdf(z), 0, 30, limit=400)[0] for r in (1, *TIMES)
    )
    return float(np.mean(worse) / usual_one)


@pytest.mark.parametrize("spread", [0.1, 0.4, 0.9])
def test_the_ratio_after_each_look_by_numerical_integration(spread):
    """Looked at on days 7, 14 and 21: one lost by 7, one by 21, one ready by 14, two there."""
    rows = IntervalRows.of(
        [0, 14, 7, 21, 14], [7, 21, 14, 21, 21], [LOST, LOST, READY, STILL, STILL]
    )
    found = follow(rows, Usual(HAZARD, spread))
    first = [(0, 7, LOST)] + [(7, 7, STILL)] * 4
    second = [(0, 7, LOST), (7, 14, READY)] + [(14, 14, STILL)] * 3
    third = [(0, 7, LOST), (14, 21, LOST), (7, 14, READY)] + [(21, 21, STILL)] * 2
    assert [one.ratio for one in found] == pytest.approx(
        [by_hand(seen, spread) for seen in (first, second, third)], rel=1e-5
    )
    assert [(one.day, one.lost) for one in found] == [(7, 1), (14, 1), (21, 2)]
    assert [one.expected for one in found] == pytest.approx([0.315, 0.56, 0.735])


def test_a_weight_is_so_many_pieces():
    one = IntervalRows.of([0, 7], [7, 7], [LOST, STILL], weight=[3, 5])
    each = IntervalRows.of([0] * 3 + [7] * 5, [7] * 8, [LOST] * 3 + [STILL] * 5)
    pair = [follow(rows, Usual(HAZARD, 0.4))[0] for rows in (one, each)]
    assert (pair[0].lost, pair[0].expected) == (pair[1].lost, pytest.approx(pair[1].expected))
    assert pair[0].ratio == pytest.approx(pair[1].ratio)


def test_a_day_is_replayed_as_it_was_known():
    rows = IntervalRows.of(
        [0, 14, 7, 20, 3], [7, 21, 14, 21, 10], [LOST, LOST, READY, STILL, STILL]
    )
    found = replayed(rows, 10)
    assert found.cause.tolist() == [LOST, STILL, STILL, STILL, STILL]
    assert found.left.tolist() == [0, 10, 7, 10, 3]
    assert found.right.tolist() == [7, 10, 7, 10, 10]
    whole = replayed(rows, 21)
    assert (whole.left.tolist(), whole.right.tolist()) == (rows.left.tolist(), rows.right.tolist())


def test_the_hazard_is_of_pieces_still_healing():
    """Of 10: 2 lost on day 1, 4 ready on day 2, 2 of the 4 left lost on day 3."""
    rows = IntervalRows.of(
        [0, 1, 2, 5], [1, 2, 3, 5], [LOST, READY, LOST, STILL], weight=[2, 4, 2, 2]
    )
    fit = fit_incidence(rows)
    steps = -np.log(1.0 - np.array([0.2, 0.0, 0.5, 0.0, 0.0]))
    expected = np.concatenate(([0.0], np.cumsum(steps)))
    assert summed(fit.ready, fit.lost, 5) == pytest.approx(expected, abs=1e-6)


def test_under_the_usual_reading_the_mean_of_the_ratio_is_one():
    """Which is what the stated rates rest on: six pieces, two looks, every outcome's chance.

    Pieces here are alike, so the outcomes are how many are lost by each look.
    """
    spread, total, mean = 0.4, 0.0, 0.0
    units = gamma(1 / spread, scale=spread)
    ways = [(a, b) for a in range(7) for b in range(7 - a)]
    for a, b in ways:
        left, right = (
            [0] * a + [7] * b + [14] * (6 - a - b),
            [7] * a + [14] * b + [14] * (6 - a - b),
        )
        rows = IntervalRows.of(left, right, [LOST] * (a + b) + [STILL] * (6 - a - b))
        ratio = follow(rows, Usual(HAZARD, spread))[-1].ratio
        many = np.prod(range(1, 7)) / np.prod(
            [np.prod(range(1, k + 1)) for k in (a, b, 6 - a - b)], dtype=float
        )

        def chance(z, a=a, b=b):
            first, second = (np.exp(-z * HAZARD[day]) for day in (7, 14))
            return (1 - first) ** a * (first - second) ** b * second ** (6 - a - b) * units.pdf(z)

        each = many * quad(chance, 0, 30, limit=400)[0]
        total, mean = total + each, mean + each * ratio
    assert total == pytest.approx(1.0, abs=1e-8)
    assert mean == pytest.approx(1.0, abs=1e-5)


@pytest.mark.parametrize(
    ("units", "losses", "runs"), [(4, "usual", 100), (8, "few", 50), (20, "many", 15)]
)
def test_usual_units_are_seldom_ever_called_out(units, losses, runs):
    """The whole table: python -m tests.healing.warn.false_alarms."""
    farm = farm_of(units, losses, 0.8)
    called = [
        one for run in range(runs) for one in alarms(rows_of(farm, np.random.default_rng((9, run))))
    ]
    assert np.mean([one.level != "usual" for one in called]) <= LOOK_RATE
    assert np.mean([one.level == "act" for one in called]) <= ACT_RATE


def test_a_bad_unit_is_called_out_early_and_far_more_often_than_a_usual_one():
    """Six times the odds of loss, among nineteen others that differ little."""
    found = [
        alarms(with_a_bad_one(farm_of(20, "usual", 0.01), np.random.default_rng((8, run))))[-1]
        for run in range(40)
    ]
    days = [one.since for one in found if one.since is not None]
    assert len(days) >= 10
    assert np.median(days) <= 40


def test_what_was_called_out_stays_so_with_its_day():
    """Losses on the first look, then none: the ratio falls back below, the call does not."""
    farm = rows_of(Farm(15, 8, watched=(80, 81)), np.random.default_rng(10))
    bad = ([0] * 4 + [75] * 5, [7] * 4 + [75] * 5, [LOST] * 4 + [STILL] * 5, [50] * 9)
    early = IntervalRows.of(*bad)
    columns = ("left", "right", "cause", "cluster")
    rows = IntervalRows.of(
        *(np.concatenate((getattr(farm, c), getattr(early, c))) for c in columns)
    )
    found = alarms(rows)
    last = found[-1]
    assert [one.unit for one in found] == [*range(15), 50]
    assert last.evidence[0].ratio > last.evidence[-1].ratio
    assert (last.level, last.since) == ("look", 7)
    assert LOOK_RATIO <= last.evidence[0].ratio < ACT_RATIO


def test_others_without_a_loss_make_the_first_one_odd_but_not_impossible():
    cluster = np.repeat(np.arange(6), 8)
    left, right, cause = np.full(48, 30), np.full(48, 30), np.full(48, int(STILL))
    left[0], right[0], cause[0] = 21, 28, LOST
    found = alarms(IntervalRows.of(left, right, cause, cluster))
    assert [one.level for one in found] == ["usual"] * 6
    assert 1.0 < found[0].evidence[-1].ratio < LOOK_RATIO
    others = usual(IntervalRows.of(left, right, cause, cluster))
    assert np.isfinite(others.spread).all()
    assert (others.at(np.arange(6), np.full(6, 30)) > 0.0).all()


def test_all_lost_everywhere_is_usual():
    rows = IntervalRows.of([0] * 24, [7] * 24, [LOST] * 24, np.repeat(np.arange(4), 6))
    assert [(one.level, one.since) for one in alarms(rows)] == [("usual", None)] * 4


def test_nothing_seen_and_nothing_to_compare():
    nobody = IntervalRows.of([0], [0], [STILL])
    assert follow(nobody, Usual(HAZARD, 0.4)) == []
    assert follow(IntervalRows.of([3], [3], [STILL]), Usual(HAZARD, 0.4)) == [
        Evidence(3, 0, pytest.approx(0.03), pytest.approx(by_hand([(3, 3, STILL)], 0.4), rel=1e-5))
    ]
    with pytest.raises(TooFewCutsError, match="no others"):
        alarms(nobody)
    with pytest.raises(ShareError, match="not known as far"):
        follow(IntervalRows.of([70], [70], [STILL]), Usual(HAZARD, 0.4))
