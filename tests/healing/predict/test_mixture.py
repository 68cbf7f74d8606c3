"""The mixture's likelihood: against its definition, its slopes against differences, far corners."""

import numpy as np
import pytest
from scipy.stats import weibull_min

from api.healing.predict.mixture import Bounds, row_terms, row_values
from api.healing.rows import Cause, IntervalRows

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL
ROWS = IntervalRows.of(
    [0, 3, 20, 0, 5, 19, 4, 0, 30], [7, 9, 21, 4, 6, 40, 4, 12, 31],
    [READY, READY, READY, LOST, LOST, LOST, STILL, STILL, STILL],
)  # fmt: skip


def five(seed: int) -> np.ndarray:
    random = np.random.default_rng(seed)
    return random.normal([0.3, 2.5, 1.5, 0.5, 0.2], 0.4, (ROWS.left.size, 5))


def defined(row: int, numbers: np.ndarray) -> float:
    """Straight from the distributions of scipy, without logarithms."""
    pi = 1.0 / (1.0 + np.exp(-numbers[0]))
    ready, lost = (
        weibull_min(np.exp(numbers[3 + k]), scale=np.exp(numbers[1 + k])) for k in (0, 1)
    )
    left, right = ROWS.left[row], ROWS.right[row]
    if ROWS.cause[row] == READY:
        return float(np.log(pi * (ready.cdf(right) - ready.cdf(left))))
    if ROWS.cause[row] == LOST:
        return float(np.log((1 - pi) * (lost.cdf(right) - lost.cdf(left))))
    return float(np.log(pi * ready.sf(left) + (1 - pi) * lost.sf(right)))


@pytest.mark.parametrize("seed", range(3))
def test_values_are_those_of_the_definition(seed):
    at, bounds = five(seed), Bounds.of(ROWS)
    expected = [defined(row, at[row]) for row in range(ROWS.left.size)]
    assert row_values(bounds, at) == pytest.approx(expected, rel=1e-9)
    assert row_terms(bounds, at).value == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", range(3))
def test_slope_and_curvature_equal_finite_differences(seed):
    at, bounds, by = five(seed), Bounds.of(ROWS), 1e-6
    terms = row_terms(bounds, at)
    for k in range(5):
        low, high = at - by * np.eye(5)[k], at + by * np.eye(5)[k]
        slope = (row_values(bounds, high) - row_values(bounds, low)) / (2 * by)
        curve = (row_terms(bounds, high).slope - row_terms(bounds, low).slope) / (2 * by)
        assert terms.slope[:, k] == pytest.approx(slope, abs=1e-7)
        assert terms.curve[:, :, k] == pytest.approx(curve, abs=1e-6)


def test_the_tame_curvature_is_never_positive_in_the_first_three():
    for seed in range(20):
        tame = row_terms(Bounds.of(ROWS), five(seed)).tame[:, :3, :3]
        assert np.linalg.eigvalsh(tame).max() <= 1e-12


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("far", [-30.0, -8.0, 8.0, 30.0])
@pytest.mark.parametrize("shape", [-3.0, 0.0, 4.0])
def test_far_corners_stay_finite(far, shape):
    at = np.tile([far, far, -far, shape, shape], (ROWS.left.size, 1))
    terms = row_terms(Bounds.of(ROWS), at)
    for part in (terms.value, terms.slope, terms.curve, terms.tame):
        assert np.isfinite(part).all()
    assert row_values(Bounds.of(ROWS), at) == pytest.approx(terms.value)
