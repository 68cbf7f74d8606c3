"""Proportions, differences and design effects against printed numbers, to the printed digit."""

import pytest

from api.healing.proportions import (
    ClusterCounts,
    clopper_pearson,
    design_effect,
    difference,
    wilson,
)
from tests.reference import published_data as data

# Newcombe 1998, Stat Med 17:857, table I: methods 3 (score) and 5 (exact).
SINGLE = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0.0, 0.1611), (0.0, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
]

# Newcombe 1998, Stat Med 17:873, table II: method 10.
DIFFERENCES = [
    ((56, 48), (70, 80), (0.0524, 0.3339)),
    ((9, 3), (10, 10), (0.1705, 0.8090)),
    ((0, 0), (10, 20), (-0.1611, 0.2775)),
    ((10, 0), (10, 10), (0.6075, 1.0)),
]


@pytest.mark.parametrize(("events", "pieces", "score", "exact"), SINGLE)
def test_single_share(events, pieces, score, exact):
    assert wilson(events, pieces) == pytest.approx(score, abs=5e-5)
    assert clopper_pearson(events, pieces) == pytest.approx(exact, abs=5e-5)


@pytest.mark.parametrize(("events", "pieces", "printed"), DIFFERENCES)
def test_difference_of_two_shares(events, pieces, printed):
    assert difference(events, pieces) == pytest.approx(printed, abs=5e-5)


def test_glued_pieces_that_came_off():
    """43 of 180 came off cyanoacrylate within five months (Dizon, Edwards & Gomez 2008); the
    limits were computed from these counts with statsmodels' proportion_confint."""
    assert wilson(43, 180) == pytest.approx((0.1825, 0.3062), abs=5e-5)


def test_rat_litters():
    """Rao & Scott 1992, Biometrics 48:577, the Weil data; R package aod's raoscott."""
    control = ClusterCounts.of(*data.litters(data.LITTERS_CONTROL))
    treated = ClusterCounts.of(*data.litters(data.LITTERS_TREATED))
    shares = [float(one.events.sum() / one.pieces.sum()) for one in (control, treated)]
    assert shares == pytest.approx([0.8987, 0.7724], abs=5e-5)
    effects = [design_effect(control), design_effect(treated)]
    assert effects == pytest.approx([1.2325, 3.9529], abs=5e-5)
