"""The step from the likeliest effects towards their mean, against the mean by quadrature."""

from dataclasses import replace

import numpy as np
import pytest

from api.healing.predict.climb import Point, Problem, climb
from api.healing.predict.middle import PART, to_middle
from api.healing.predict.mixture import Bounds, row_values
from api.healing.rows import Cause, IntervalRows

PINNED, NONE = 1e9, np.zeros(0, np.int64)


def problem(ready: int, lost: int) -> Problem:
    """Everything is known but the share ready: nine in ten are, and are so by day 30."""
    rows = IntervalRows.of([0, 0], [30, 30], [Cause.READY, Cause.LOST], None, [ready, lost])
    mean = Point(
        np.array([[0.0, np.log(20.0), np.log(20.0)]]), np.log([3.0, 3.0]), np.zeros((0, 3))
    )
    precision = Point(np.array([[0.25, PINNED, PINNED]]), np.full(2, PINNED), np.ones((1, 3)))
    return Problem(
        Bounds.of(rows), rows.weight.astype(float), np.ones((2, 1)), NONE, NONE, mean, precision
    )


@pytest.mark.parametrize(("ready", "lost"), [(9, 1), (18, 2), (45, 5)])
def test_effects_go_half_of_the_way_to_the_mean(ready, lost):
    given = problem(ready, lost)
    top = climb(given, given.mean)
    at = top.at.outer[0, 0]
    logits = np.linspace(at - 12, at + 12, 401)
    five = np.tile([0.0, np.log(20.0), np.log(20.0), *np.log([3.0, 3.0])], (2, 1))
    height = []
    for logit in logits:
        five[:, 0] = logit
        height.append(given.weight @ row_values(given.bounds, five) - 0.125 * logit**2)
    share = np.exp(height - np.max(height))
    mean = float(share @ logits / share.sum())
    moved = to_middle(given, top).at
    assert moved.outer[0, 0] - at == pytest.approx(PART * (mean - at), rel=0.15)
    assert moved.outer[0, 0] > at
    assert moved.shape.tolist() == top.at.shape.tolist()


def test_where_much_is_known_nothing_moves():
    given = problem(90_000, 10_000)
    top = climb(given, given.mean)
    assert to_middle(given, top).at.outer == pytest.approx(top.at.outer, abs=1e-4)


def test_shapes_stay_where_they_were_put():
    given = problem(9, 1)
    loose = replace(given, precision=replace(given.precision, shape=np.ones(2)))
    top = climb(loose, given.mean)
    moved = to_middle(loose, top).at
    assert moved.shape.tolist() == top.at.shape.tolist()
    assert moved.outer[0, 0] != top.at.outer[0, 0]
