"""Figures of both groups: against scipy's distributions, and their slopes against differences."""

import numpy as np
import pytest
from scipy.stats import weibull_min

from api.healing.predict.climb import Point, moved
from api.healing.predict.standard import figures, slopes

pytestmark = pytest.mark.filterwarnings("error")
RANDOM = np.random.default_rng(2)
TABLE = np.concatenate((np.ones((9, 1)), np.full((9, 1), 0.5), RANDOM.normal(size=(9, 2))), axis=1)
WEIGHT = RANDOM.integers(1, 4, 9).astype(float)
AT = Point(
    np.array([[1.4, 3.5, 3.0], [0.5, -0.3, 0.1], [0.3, 0.1, -0.2], [-0.2, 0.05, 0.1]]),
    np.array([0.8, 0.1]), np.zeros((0, 3)),
)  # fmt: skip


def test_figures_are_means_of_each_pieces_own():
    found = figures(TABLE, WEIGHT, AT, 30)
    share = WEIGHT / WEIGHT.sum()
    days = np.linspace(0.0, 400.0, 400_001)
    for side in (0, 1):
        table = TABLE.copy()
        table[:, 1] = side - 0.5
        three = table @ AT.outer
        pi = 1.0 / (1.0 + np.exp(-three[:, 0]))
        ready = [weibull_min(np.exp(0.8), scale=np.exp(s)) for s in three[:, 1]]
        lost = [weibull_min(np.exp(0.1), scale=np.exp(s)) for s in three[:, 2]]
        curve = sum(w * p * one.cdf(days) for w, p, one in zip(share, pi, ready, strict=True))
        dead = sum(w * (1 - p) * one.cdf(30.0) for w, p, one in zip(share, pi, lost, strict=True))
        half = days[np.argmax(curve >= 0.5)]
        assert found[:, side] == pytest.approx([curve[30_000], dead, half, share @ pi], abs=1e-3)
        assert found[[0, 1, 3], side] == pytest.approx([curve[30_000], dead, share @ pi], rel=1e-6)


def test_slopes_equal_finite_differences():
    found, by = slopes(TABLE, WEIGHT, AT, 30), 1e-5
    for k in range(14):
        step = by * np.eye(14)[k], AT.inner
        ends = [figures(TABLE, WEIGHT, moved(AT, step, sign), 30) for sign in (1.0, -1.0)]
        assert found.unknown[:, :, k] == pytest.approx((ends[0] - ends[1]) / (2 * by), abs=1e-4)
    total = WEIGHT.sum()
    for i in range(9):
        less = WEIGHT - 1e-4 * total * np.eye(9)[i]
        change = figures(TABLE, less, AT, 30) - figures(TABLE, WEIGHT, AT, 30)
        assert found.own[:, :, i] == pytest.approx(-change / 1e-4, rel=1e-2, abs=1e-3)


def test_a_half_that_is_never_ready_has_no_day_and_no_slope():
    never = Point(AT.outer - np.array([[3.0, 0, 0]] + [[0.0] * 3] * 3), AT.shape, AT.inner)
    found = figures(TABLE, WEIGHT, never, 30)
    assert np.isnan(found[2]).all()
    assert (found[3] < 0.5).all()
    assert (slopes(TABLE, WEIGHT, never, 30).unknown[2] == 0.0).all()
