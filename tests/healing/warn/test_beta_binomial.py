"""Counts in units that differ, against scipy's distribution and published litters of rats."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import betabinom, binom

from api.healing.errors import ShareError
from api.healing.proportions import ClusterCounts
from api.healing.warn.beta_binomial import BetaBinomial, likeliest, moment_rho
from tests.reference.published_data import LITTERS_CONTROL, LITTERS_TREATED, litters

CASES = [(1, 0.2, 0.3), (8, 0.25, 0.1), (20, 0.02, 0.6), (400, 0.5, 0.001), (8, 0.9, 0.9)]


@pytest.mark.parametrize(("pieces", "mean", "rho"), CASES)
def test_chances_and_limits_are_scipys(pieces, mean, rho):
    theirs = betabinom(pieces, mean * (1 / rho - 1), (1 - mean) * (1 / rho - 1))
    y, ours = np.arange(pieces + 1), BetaBinomial(pieces, mean, rho)
    assert ours.pmf() == pytest.approx(theirs.pmf(y), abs=1e-12, rel=1e-8)
    odd = theirs.sf(y) + theirs.pmf(y) / 2
    assert ours.mid_p() == pytest.approx(odd, abs=1e-10)
    for tail in (0.2, 0.025, 0.001):
        at = next((int(k) for k in y if odd[k] <= tail), None)
        assert ours.limit(tail) == at


def test_units_that_do_not_differ_are_binomial():
    y = np.arange(13)
    assert BetaBinomial(12, 0.3, 0.0).pmf() == pytest.approx(binom(12, 0.3).pmf(y), abs=1e-14)
    assert BetaBinomial(12, 0.3, 1e-8).pmf() == pytest.approx(binom(12, 0.3).pmf(y), abs=1e-6)


@pytest.mark.parametrize("rho", [0.0, 0.4])
def test_none_or_all_for_certain(rho):
    assert BetaBinomial(3, 0.0, rho).pmf().tolist() == [1.0, 0.0, 0.0, 0.0]
    assert BetaBinomial(3, 1.0, rho).pmf().tolist() == [0.0, 0.0, 0.0, 1.0]
    assert BetaBinomial(3, 1.0, rho).limit(0.025) is None
    assert BetaBinomial(0, 0.4, rho).mid_p().tolist() == [0.5]


# Williams 1975, Biometrics 31:949, on Weil's litters: mean and theta = rho / (1 - rho) of greatest
# likelihood (from memory, to three digits).
@pytest.mark.parametrize(
    ("text", "mean", "theta"), [(LITTERS_CONTROL, 0.898, 0.021), (LITTERS_TREATED, 0.740, 0.465)]
)
def test_rat_litters(text, mean, theta):
    """And to eight digits the maximum that another search finds on scipy's distribution."""
    counts = ClusterCounts.of(*litters(text))
    found = likeliest(counts)
    assert found[0] == pytest.approx(mean, abs=5e-4)
    assert found[1] / (1.0 - found[1]) == pytest.approx(theta, abs=5e-4)

    def missing(log_ab):
        return -betabinom.logpmf(counts.events, counts.pieces, *np.exp(log_ab)).sum()

    other = minimize(missing, [1.0, 0.0], method="Nelder-Mead", options={"fatol": 1e-12})
    a, b = np.exp(other.x)
    assert found[:2] == pytest.approx((a / (a + b), 1.0 / (a + b + 1.0)), abs=1e-4)
    assert found[2] == pytest.approx(-other.fun, abs=1e-8)


def test_moments_find_what_the_units_were_drawn_with():
    """4000 units of three sizes, with shares expected of each that differ by a factor of three."""
    random = np.random.default_rng(3)
    pieces = random.choice([2, 8, 20], 4000)
    means = random.choice([0.1, 0.3], 4000)
    spread = 1.0 / 0.15 - 1.0
    lost = random.binomial(pieces, random.beta(means * spread, (1.0 - means) * spread))
    excess, weight = moment_rho(ClusterCounts.of(lost, pieces), means)
    assert excess.sum() / weight.sum() == pytest.approx(0.15, abs=0.015)


def test_moments_are_the_formula_for_equal_units():
    """0, 4 and 8 of 8: squares 16, 0, 16 against 8/4 by chance, over 7 times as much."""
    excess, weight = moment_rho(ClusterCounts.of([0, 4, 8], [8, 8, 8]))
    assert excess.tolist() == [14.0, -2.0, 14.0]
    assert weight.tolist() == [14.0, 14.0, 14.0]


@pytest.mark.parametrize(("lost", "share"), [([0, 0], 0.0), ([5, 7], 1.0)])
def test_none_or_all_lost_vary_by_nothing(lost, share):
    assert likeliest(ClusterCounts.of(lost, [5, 7])) == (share, 0.0, 0.0)


def test_impossible_numbers_are_refused():
    for bad in ((-1, 0.5, 0.1), (3, 1.5, 0.1), (3, 0.5, 1.0), (3, float("nan"), 0.1)):
        with pytest.raises(ShareError, match="No distribution"):
            BetaBinomial(*bad)
    with pytest.raises(ShareError, match="no unit"):
        likeliest(ClusterCounts.of([], []))
