"""The most likely effects under their priors: Newton's steps, halved until they help.

The three linear predictors of a row (logit pi, log scale ready, log scale lost) are
    design @ outer + inner[block]
and the two log shapes are common to all rows. Every unknown has a normal prior. Where the
curvature of a block is not positive definite, that of the expectation-maximisation step stands in
(Dempster, Laird & Rubin 1977, JRSS B 39:1), with a multiple of the identity added while that does
not help (Levenberg 1944).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from api.healing.errors import NotSettledError
from api.healing.predict.arrow import Arrow
from api.healing.predict.curvature import Parts, by_block, curvature, own_blocks
from api.healing.predict.mixture import Bounds, Terms, row_terms, row_values
from api.healing.rows import FloatArray, IntArray

STEPS = 200
SETTLED = 1e-9


@dataclass(frozen=True)
class Point:
    """Unknowns: outer (m, 3), log shapes (2,), inner (J, 3)."""

    outer: FloatArray
    shape: FloatArray
    inner: FloatArray


@dataclass(frozen=True)
class Problem:
    """n rows, sorted by block. `start` (J,) is each block's first row, `block` (n,) its number.

    `mean` is the priors' mean; `precision` has the shapes of a Point, its inner row (1, 3) for
    every block alike. A precision of zero is a flat prior. `offset` (3,) is added to each row's
    predictors.
    """

    bounds: Bounds
    weight: FloatArray
    design: FloatArray
    block: IntArray
    start: IntArray
    mean: Point
    precision: Point
    offset: FloatArray = field(default_factory=lambda: np.zeros(3))

    def five(self, at: Point) -> FloatArray:
        """The five numbers of each row, (n, 5)."""
        three = self.design @ at.outer + self.offset
        if self.start.size:
            three = three + at.inner[self.block]
        shapes = np.broadcast_to(at.shape, (three.shape[0], 2))
        return np.concatenate((three, shapes), axis=1)

    def value(self, at: Point) -> float:
        """Weighted log-likelihood plus the priors' log density, up to a constant."""
        return float(self.weight @ row_values(self.bounds, self.five(at))) - self._prior(at)

    def _prior(self, at: Point) -> float:
        return 0.5 * sum(
            float((p * (x - m) ** 2).sum())
            for p, x, m in zip(_parts(self.precision), _parts(at), _parts(self.mean), strict=True)
        )


@dataclass(frozen=True)
class Top:
    """Where the climb ended, the factored curvature there, and the log-likelihood without priors.

    `missing` is half the Newton decrement squared: about what the value still lacks.
    """

    at: Point
    curvature: Arrow
    loglik: float
    missing: float


def climb(problem: Problem, at: Point, settled: float = SETTLED, at_most: int | None = None) -> Top:
    """The highest point near `at`; NotSettledError if `missing` <= `settled` is not reached.

    With `at_most`, that many steps are enough wherever they lead.
    """
    value = problem.value(at)
    for step in range(STEPS):
        terms = row_terms(problem.bounds, problem.five(at))
        slope = slope_of(problem, at, terms)
        arrow, whole = _arrow(problem, terms)
        direction = arrow.solve(*slope)
        rise = float(slope[0] @ direction[0] + (slope[1] * direction[1]).sum())
        if (whole and 0.5 * rise <= settled) or step == at_most:
            return Top(at, arrow, float(problem.weight @ terms.value), 0.5 * rise)
        found = _uphill(problem, at, value, direction, rise)
        if found is None:
            break
        at, value = found
    raise NotSettledError(
        "The prediction was not found to the promised accuracy: what was seen of these pieces "
        "fits no such curve well. No prediction is given."
    )


Step = tuple[FloatArray, FloatArray]


def _uphill(
    problem: Problem, at: Point, value: float, direction: Step, rise: float
) -> tuple[Point, float] | None:
    """Halve the step until a fair share of what the slope promises is gained (Armijo)."""
    noise = 1e-12 * (1.0 + abs(value))
    shapes = float(np.abs(direction[0][at.outer.size :]).max())
    others = max(float(np.abs(one).max(initial=0.0)) for one in direction)
    # A log shape moves by 1 at most, anything else by 8, so that no trial leaves floating point.
    length = min(1.0, 1.0 / max(shapes, 1e-300), 8.0 / max(others, 1e-300))
    while length > 1e-9:
        there = moved(at, direction, length)
        gained = problem.value(there) - value
        if gained >= 1e-4 * length * rise - noise:
            return there, value + gained
        length /= 2.0
    return None


def block_log_det_slope(problem: Problem, at: Point, by: float = 1e-4) -> FloatArray:
    """Derivative of the blocks' summed log determinants by the two log shapes, (2,); 0 of none.

    A block's curvature grows with the square of the shape, so its part lies near 2 at most; where
    a block is all but singular the part has no meaning, and is kept within 4.
    """
    found = np.zeros(2)
    if problem.start.size == 0:
        return found
    for k in range(2):
        sides = []
        for sign in (-1.0, 1.0):
            shape = at.shape + sign * by * np.eye(2)[k]
            terms = row_terms(problem.bounds, problem.five(Point(at.outer, shape, at.inner)))
            blocks = _blocks(problem, terms.curve)
            sides.append(np.linalg.slogdet(blocks).logabsdet)
        found[k] = np.clip((sides[1] - sides[0]) / (2.0 * by), -4.0, 4.0).sum()
    return found


def slope_of(problem: Problem, at: Point, terms: Terms) -> Step:
    weighted = problem.weight[:, None] * terms.slope
    prior, mean = problem.precision, problem.mean
    outer = problem.design.T @ weighted[:, :3] - prior.outer * (at.outer - mean.outer)
    shape = weighted[:, 3:].sum(axis=0) - prior.shape * (at.shape - mean.shape)
    inner = -prior.inner * at.inner
    if problem.start.size:
        inner = inner + by_block(weighted[:, :3], problem.block, problem.start.size)
    return np.concatenate((outer.T.ravel(), shape)), inner


def _curvature(problem: Problem, curve: FloatArray) -> Parts:
    """Minus the second derivatives, those of the priors included."""
    h, prior, blocks = -problem.weight[:, None, None] * curve, problem.precision, problem.start.size
    found = curvature(problem.design, h, problem.block if blocks else None, blocks)
    diagonal = np.diag_indices_from(found.outer)
    found.outer[diagonal] += np.concatenate((prior.outer.T.ravel(), prior.shape))
    return Parts(found.outer, found.cross, found.blocks + np.diag(prior.inner[0]))


def _blocks(problem: Problem, curve: FloatArray) -> FloatArray:
    h = -problem.weight[:, None, None] * curve[:, :3, :3]
    return own_blocks(h, problem.block, problem.start.size) + np.diag(problem.precision.inner[0])


def _factor(parts: Parts, damping: float) -> Arrow | None:
    more = damping * np.eye(parts.outer.shape[0])
    try:
        return Arrow.of(parts.outer + more, parts.cross, parts.blocks + damping * np.eye(3))
    except np.linalg.LinAlgError:
        return None


def _arrow(problem: Problem, terms: Terms) -> tuple[Arrow, bool]:
    """(the curvature, whether it is all of it): tame in blocks that are not positive definite, and
    in all of them if that is not enough."""
    bad = np.zeros(problem.start.size, np.bool_)
    if bad.size:
        blocks = _blocks(problem, terms.curve)
        bad = np.linalg.eigvalsh(blocks)[:, 0] <= 0.0
    curve = terms.curve
    if bad.any():
        curve = np.where(bad[problem.block][:, None, None], terms.tame, curve)
    found = _factor(_curvature(problem, curve), 0.0)
    return (found, not bad.any()) if found is not None else (_tamed(problem, terms), False)


def _tamed(problem: Problem, terms: Terms) -> Arrow:
    """The tame curvature, which differs from a positive definite one at most in the shapes."""
    parts, damping = _curvature(problem, terms.tame), 0.0
    while damping < 1e12:
        found = _factor(parts, damping)
        if found is not None:
            return found
        damping = 10.0 * max(damping, 1e-2)
    raise NotSettledError("The curvature of the prediction has no meaning. No prediction is given.")


def moved(at: Point, step: Step, length: float) -> Point:
    """`length` times a step (q,), (J, 3) on, in the order of `curvature`."""
    size = at.outer.size
    outer = step[0][:size].reshape(3, -1).T
    return Point(
        at.outer + length * outer, at.shape + length * step[0][size:], at.inner + length * step[1]
    )


def _parts(point: Point) -> tuple[FloatArray, FloatArray, FloatArray]:
    return point.outer, point.shape, point.inner
