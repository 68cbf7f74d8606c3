"""Counts in units that differ, against scipy's distribution and published litters of rats."""

import numpy as np
import pytest
from scipy.optimize import minimize
from scipy.stats import betabinom, binom

from api.healing.errors import ShareError
from api.healing.proportions import ClusterCounts
from api.healing.warn.beta_binomial import log_pmf, mid_p
from api.healing.warn.funnel import PRIOR, Prior, _rho
from tests.reference.published_data import LITTERS_CONTROL, LITTERS_TREATED, litters

CASES = [(1, 0.2, 0.3), (8, 0.25, 0.1), (20, 0.02, 0.6), (400, 0.5, 0.001), (8, 0.9, 0.9)]


def odd_of(pieces: int, mean: float, rho: float) -> list[float]:
    """Mid-p of one unit."""
    [found] = mid_p(pieces, np.array([mean]), np.array([rho]))
    return found.tolist()


def chances(pieces: int, mean: float, rho: float) -> np.ndarray:
    return np.exp(log_pmf(np.arange(pieces + 1.0), np.full(1, float(pieces)), mean, rho))


@pytest.mark.parametrize(("pieces", "mean", "rho"), CASES)
def test_chances_are_scipys(pieces, mean, rho):
    theirs = betabinom(pieces, mean * (1 / rho - 1), (1 - mean) * (1 / rho - 1))
    y = np.arange(pieces + 1)
    assert chances(pieces, mean, rho) == pytest.approx(theirs.pmf(y), abs=1e-12, rel=1e-8)
    odd = theirs.sf(y) + theirs.pmf(y) / 2
    assert odd_of(pieces, mean, rho) == pytest.approx(odd, abs=1e-10)


def test_units_that_do_not_differ_are_binomial():
    y = np.arange(13)
    assert chances(12, 0.3, 0.0) == pytest.approx(binom(12, 0.3).pmf(y), abs=1e-14)
    assert chances(12, 0.3, 1e-8) == pytest.approx(binom(12, 0.3).pmf(y), abs=1e-6)


@pytest.mark.parametrize("rho", [0.0, 0.4])
def test_none_or_all_for_certain(rho):
    assert odd_of(3, 0.0, rho) == [0.5, 0.0, 0.0, 0.0]
    assert odd_of(3, 1.0, rho) == [1.0, 1.0, 1.0, 0.5]
    assert odd_of(0, 0.4, rho) == [0.5]


# Williams 1975, Biometrics 31:949, on Weil's litters: mean and theta = rho / (1 - rho) of greatest
# likelihood (from memory, to three digits).
@pytest.mark.parametrize(
    ("text", "mean", "theta"), [(LITTERS_CONTROL, 0.898, 0.021), (LITTERS_TREATED, 0.740, 0.465)]
)
def test_rat_litters(text, mean, theta):
    """Our chances are greatest at the published numbers."""
    counts = ClusterCounts.of(*litters(text))

    def missing(at):
        share, log_theta = at
        rho = 1.0 - 1.0 / (1.0 + np.exp(log_theta))
        return -log_pmf(counts.events, counts.pieces, share, rho).sum()

    best = minimize(missing, [0.8, -2.0], method="Nelder-Mead", options={"fatol": 1e-12})
    assert best.x[0] == pytest.approx(mean, abs=5e-4)
    assert np.exp(best.x[1]) == pytest.approx(theta, abs=5e-4)


def test_moments_find_what_the_units_were_drawn_with():
    """4000 units of three sizes, with shares expected of each that differ by a factor of three."""
    random = np.random.default_rng(3)
    pieces = random.choice([2, 8, 20], 4000)
    means = random.choice([0.1, 0.3], 4000)
    spread = 1.0 / 0.15 - 1.0
    lost = random.binomial(pieces, random.beta(means * spread, (1.0 - means) * spread))
    found = _rho(ClusterCounts.of(lost, pieces), means, PRIOR)
    assert found == pytest.approx(0.15, abs=0.015)


def test_moments_are_the_formula_for_equal_units():
    """Beside the first of 0, 4 and 8 of 8: the others' share is 3/4, squares of 4 against 12/8 by
    chance each, over seven times as much; beside the second 16 against 2."""
    counts, nothing = ClusterCounts.of([0, 4, 8], [8, 8, 8]), Prior(0.1, 1e-12)
    found = _rho(counts, np.ones(3), nothing)
    assert found == pytest.approx([2.5 / 10.5, 0.95, 2.5 / 10.5])


def test_impossible_numbers_are_refused():
    for bad in ((-1, 0.5, 0.1), (3, 1.5, 0.1), (3, 0.5, 1.0), (3, float("nan"), 0.1)):
        with pytest.raises(ShareError, match="No distribution"):
            odd_of(*bad)
