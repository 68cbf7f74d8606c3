"""From the likeliest effects towards their mean: what a normal curve about the top leaves out.

Chances are bounded and slow pieces are not yet seen to be slow, so what is known of a method or a
cut is skewed; its bulk does not lie about its top, and draws about the top say what is likely too
surely. To first order the mean is
    top + S (s + 1/2 sum over rows of w d tr(C f'') / d five),
S the inverse curvature, s the slope at the top (0), C each row's covariance of its five numbers and
f'' its curvature (Tierney & Kadane 1986, J Am Stat Assoc 81:82; as the shift in Rue, Martino &
Chopin 2009, JRSS B 71:319, section 3.2.3; both from memory). The middle of a skewed curve lies
between top and mean, and draws are symmetrical: effects go half of the way, at which predictions
were nearest to what came true (`tests.reference.calibration`). Shapes stay, `pooled` has
moved them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from api.healing.predict.climb import Problem, Top, moved, slope_of
from api.healing.predict.mixture import row_terms
from api.healing.rows import FloatArray

DRAWS, PAGE, BY = 200, 500, 1e-3
PART, FARTHEST = 0.5, 1.0
"""No unknown moves by more than its own standard error: beyond, first order means nothing."""


def to_middle(problem: Problem, top: Top) -> Top:
    """`top`, found on `problem`, with its effects moved towards the mean of what is possible."""
    five = problem.five(top.at)
    terms = row_terms(problem.bounds, five)
    spread = _spread(problem, top)
    bend = np.empty_like(five)
    for k in range(5):
        step = BY * np.eye(5)[k]
        above, below = (row_terms(problem.bounds, five + side).curve for side in (step, -step))
        bend[:, k] = ((above - below) * spread).sum(axis=(1, 2)) / (2.0 * BY)
    slope = slope_of(problem, top.at, replace(terms, slope=terms.slope + 0.5 * bend))
    outer, inner = (
        np.clip(move, -FARTHEST * np.sqrt(variance), FARTHEST * np.sqrt(variance))
        for move, variance in zip(
            top.curvature.solve(*slope), top.curvature.variances(), strict=True
        )
    )
    outer[top.at.outer.size :] = 0.0
    return replace(top, at=moved(top.at, (outer, inner), PART))


def _spread(problem: Problem, top: Top) -> FloatArray:
    """The covariance of each row's five numbers, (n, 5, 5), from draws."""
    step, inner = top.curvature.draws(np.random.default_rng(3), DRAWS)
    size = top.at.outer.size
    outer = np.swapaxes(step[:, :size].reshape(DRAWS, 3, -1), 1, 2)
    n = problem.design.shape[0]
    found = np.empty((n, 5, 5))
    for begin in range(0, n, PAGE):
        page = slice(begin, min(begin + PAGE, n))
        three = problem.design[page] @ outer
        if problem.start.size:
            three = three + inner[:, problem.block[page]]
        shape = np.broadcast_to(step[:, None, size:], (*three.shape[:2], 2))
        five = np.swapaxes(np.concatenate((three, shape), axis=2), 0, 1)
        found[page] = np.swapaxes(five, 1, 2) @ five / DRAWS
    return found
