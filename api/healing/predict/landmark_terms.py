"""The terms that looks teach, how far they are pulled in, and whether they are worth having.

Levels and slopes, and classes, have normal priors about 0 whose variances are learnt (as in
`pooled`). What was learnt is worth having only if it foretells cuts that were left out of the
learning better than the model does, and better than the same learning blind to mouth and
encrustation, by more than a standard error each.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from api.healing.predict.climb import Point, Problem, Top, climb
from api.healing.predict.landmark import TRENDS, WIDTH
from api.healing.predict.mixture import Bounds, row_values
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray

FOLDS, ROUNDS, LOOSE, FEW_STEPS = 4, 8, 0.01, 4
IMAGINARY, USUAL = 2.0, 0.15
SHAPE_SD = 0.3
PINNED = 1e8


@dataclass(frozen=True)
class Watched:
    """Looks on the model's clock; their `weight` is as many as there are pieces."""

    bounds: Bounds
    design: FloatArray
    weight: FloatArray
    cluster: IntArray
    pieces: int

    def some(self, keep: BoolArray) -> tuple[Bounds, FloatArray, FloatArray]:
        """(bounds, design, weight) of some looks."""
        at = np.flatnonzero(keep)
        cause = np.empty(keep.size, np.int64)
        for kind, index in enumerate((self.bounds.ready, self.bounds.lost, self.bounds.still)):
            cause[index] = kind
        return part_of(self.bounds, cause, at), self.design[at], self.weight[at]


def part_of(bounds: Bounds, cause: IntArray, at: IntArray) -> Bounds:
    """Some of the rows, `cause` being that of all."""
    kinds = (np.flatnonzero(cause[at] == kind) for kind in Cause)
    return Bounds(bounds.log_left[at], bounds.log_right[at], *kinds)


def gain_of(at: Watched) -> float | None:
    """Mean gain of a piece over the model, in cuts left out; None where it is not worth it."""
    blind = replace(at, design=at.design.copy())
    blind.design[:, TRENDS:WIDTH] = 0.0
    cuts, code = np.unique(at.cluster, return_inverse=True)
    fold = np.random.default_rng(1).permutation(cuts.size)[code] % FOLDS
    over_model, over_blind = np.zeros(cuts.size), np.zeros(cuts.size)
    for one in range(FOLDS):
        out = fold == one
        seen, unseen, none = (
            np.bincount(code[out], values_of(where, top, out), cuts.size)
            for where, top in (
                (at, settled(at, ~out)), (blind, settled(blind, ~out)), (at, None)
            )
        )  # fmt: skip
        over_model += seen - none
        over_blind += seen - unseen
    for gained in (over_model, over_blind):
        if gained.sum() <= np.sqrt(cuts.size * gained.var(ddof=1)):
            return None
    return float(over_model.sum()) / at.pieces


def values_of(at: Watched, top: Top | None, keep: BoolArray) -> FloatArray:
    """Weighted log-likelihood of some looks; without `top` that of the model as it was."""
    bounds, design, weight = at.some(keep)
    point = _nowhere() if top is None else top.at
    five = np.concatenate(
        (design @ point.outer, np.broadcast_to(point.shape, (design.shape[0], 2))), axis=1
    )
    return weight * row_values(bounds, five)


def _nowhere() -> Point:
    """Where nothing is learnt: all 0, but the model's own logit once."""
    outer = np.zeros((WIDTH + 1, 3))
    outer[WIDTH, 0] = 1.0
    return Point(outer, np.zeros(2), np.zeros((0, 3)))


def settled(at: Watched, keep: BoolArray | None = None) -> Top:
    """The likeliest terms, priors' variances (trend or class, a or g) in turns with them."""
    bounds, design, weight = at.some(np.ones(at.cluster.size, np.bool_) if keep is None else keep)
    kind = np.repeat([0, 1], [TRENDS, WIDTH - TRENDS])
    variance, mean, none = np.full((2, 2), USUAL**2), _nowhere(), np.zeros(0, np.int64)
    point = mean
    for turn in range(ROUNDS + 1):
        outer = np.full((WIDTH + 1, 3), PINNED)
        outer[:WIDTH, :2] = 1.0 / variance[kind]
        prior = Point(outer, np.array([SHAPE_SD**-2.0, PINNED]), np.ones((1, 3)))
        problem = Problem(bounds, weight, design, none, none, mean, prior)
        if turn == ROUNDS:
            return climb(problem, point, 1e-6)
        top = climb(problem, point, LOOSE, FEW_STEPS)
        point = top.at
        own = top.curvature.variances()[0][: 3 * (WIDTH + 1)].reshape(3, -1).T[:WIDTH, :2]
        for k in range(2):
            number = np.maximum((kind == k).sum() - own[kind == k].sum(axis=0) / variance[k], 0.0)
            size = (point.outer[:WIDTH, :2][kind == k] ** 2).sum(axis=0)
            variance[k] = (size + IMAGINARY * USUAL**2) / (number + IMAGINARY)
    raise AssertionError
