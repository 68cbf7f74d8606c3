"""How strongly methods and cuts differ, learnt from the data, and each one's effect pulled in.

    eta = 1 b + x c + (method's effect) + (cut's effect)     for each of the three predictors

Effects of methods are normal about 0 with variances of their own for the three predictors, and
those of cuts likewise: a method of ten pieces is pulled far towards the mean of all methods, one of
a hundred and fifty hardly. The variances are those at which
    variance = (sum of squared effects + V s^2) / (effective number of effects + V)
where the effective number is J - (sum of posterior variances) / variance: the Laplace-approximated
marginal likelihood (MacKay 1992, Neural Comput 4:415; for two factors as in Breslow & Clayton 1993,
J Am Stat Assoc 88:9; both from memory), with V = 2 imaginary effects of the usual size s, so that
two methods, or one, still give an answer. Shapes are common to all; they are those of the same
marginal likelihood, since at the joint maximum effects that follow the pieces too closely would
make every day look surer than it is (the residual variance of a mixed model likewise).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import NotSettledError
from api.healing.predict.climb import Point, Problem, Top, block_log_det_slope, climb
from api.healing.predict.columns import Columns, Factor, collapsed, columns_of, rows_by
from api.healing.predict.middle import to_middle
from api.healing.predict.mixture import Bounds
from api.healing.predict.model import Model
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows

FEWEST_READY = 5
"""With fewer ready pieces no day of readiness is predicted (as in `estimate`)."""
IMAGINARY = 2.0
# Usual sizes of effects on logit pi, log scale ready, log scale lost.
USUAL_METHOD = np.array([0.5, 0.3, 0.3])
USUAL_CUT = np.array([0.5, 0.25, 0.3])
# Standard deviations of the priors: intercepts, a covariate's standard deviation, log shapes.
LEVEL = np.array([1.5, 1.0, 1.0])
SLOPE = np.array([1.0, 0.5, 0.5])
SHAPE_MEAN, SHAPE_SD = np.log([2.0, 1.2]), 0.7
# Variances have settled when none moves by more than 2 %; until then the climb may miss this much.
ROUNDS, STEADY, LOOSE, FEW_STEPS = 60, 0.02, 0.01, 5
# Above this many methods and as many cuts their curvature no longer fits a small machine.
MOST_LEVELS = 200


@dataclass(frozen=True)
class _Set:
    """What stays the same while variances change. `inside` is the factor with more levels."""

    rows: IntervalRows
    columns: Columns
    design: FloatArray
    method: Factor
    cut: Factor
    cuts_inside: bool
    start: Point

    @property
    def inside(self) -> Factor:
        return self.cut if self.cuts_inside else self.method

    def problem(self, method: FloatArray, cut: FloatArray, pull: FloatArray) -> Problem:
        """Priors with these variances, (3,) each; `pull` (2,) is taken off the shapes' slope."""
        outside, inside = (method, cut) if self.cuts_inside else (cut, method)
        levels = self.design.shape[1] - 1 - self.columns.kept.size
        sd = [LEVEL[None], np.tile(SLOPE, (self.columns.kept.size, 1))]
        outer = np.concatenate([*(1.0 / one**2 for one in sd), np.tile(1.0 / outside, (levels, 1))])
        precision = Point(outer, np.full(2, SHAPE_SD**-2.0), 1.0 / inside[None])
        mean = prior_mean(self.rows, outer.shape[0])
        # A linear term added to a normal prior is the same prior about another mean.
        mean = Point(mean.outer, mean.shape - pull / precision.shape, mean.inner)
        return Problem(
            Bounds.of(self.rows), self.rows.weight.astype(np.float64), self.design,
            self.inside.code, self.inside.start, mean, precision,
        )  # fmt: skip


def fit(rows: IntervalRows, group: npt.ArrayLike, x: npt.ArrayLike | None = None) -> Model:
    """The model of all pieces. `group` (rows,) are whole numbers naming methods, `x` (rows, k) what
    else was known on the day of the cut, as numbers (0 or 1 for what is or is not).

    `rows.cluster` are the cuts. Columns of `x` that never change are left out. RowsError for input
    of the wrong shape or not finite; NotSettledError below five ready pieces, with more than 200
    methods and as many cuts, or where the maximum is not reached.
    """
    codes, covariates = columns_of(rows, group, x)
    ready = int(rows.weight[rows.cause == Cause.READY].sum())
    if ready < FEWEST_READY:
        raise NotSettledError(
            f"{ready} of these pieces were seen ready; days are predicted from {FEWEST_READY} on."
        )
    given = _set(rows, codes, covariates)
    top, method, cut = _settle(given)
    return Model(
        top, given.columns, given.method.names, given.cut.names, given.cuts_inside,
        np.sqrt(method), np.sqrt(cut),
    )  # fmt: skip


def _settle(given: _Set) -> tuple[Top, FloatArray, FloatArray]:
    """(the top, its effects in the middle, variances of methods and of cuts), in turns until
    neither moves.

    Every second turn goes as far as the last two would lead if they went on shrinking at the same
    rate (Aitken's extrapolation of the logarithms), at most four times as far.
    """
    log_var, pull, at = 2.0 * np.log([USUAL_METHOD, USUAL_CUT]), np.zeros(2), given.start
    last = np.zeros((2, 3))
    for turn in range(ROUNDS):
        method, cut = np.exp(log_var)
        problem = given.problem(method, cut, pull)
        top = climb(problem, at, LOOSE, FEW_STEPS)
        at, pull = top.at, 0.5 * block_log_det_slope(problem, top.at)
        step = np.log(_variances(given, top, method, cut)) - log_var
        if np.abs(step).max() < STEADY and top.missing <= LOOSE:
            break
        rate = np.clip(step / np.where(last == 0.0, np.inf, last), 0.0, 0.75)
        log_var, last = log_var + step / (1.0 - rate * (turn % 2)), step
    method, cut = np.exp(log_var)
    problem = given.problem(method, cut, pull)
    return to_middle(problem, climb(problem, at)), method, cut


def prior_mean(rows: IntervalRows, m: int) -> Point:
    """Centres of the priors: half are ready, each kind's days as they were seen, (m, 3)."""
    outer = np.zeros((m, 3))
    middle = np.maximum((rows.left + rows.right) / 2.0, 0.5)
    late = float(np.log(np.maximum(middle.max(initial=1.0), 1.0)))
    for kind in (Cause.READY, Cause.LOST):
        seen = middle[rows.cause == kind]
        outer[0, 1 + int(kind)] = np.log(np.median(seen)) if seen.size else late
    return Point(outer, SHAPE_MEAN, np.zeros((1, 3)))


def _set(rows: IntervalRows, codes: IntArray, covariates: FloatArray) -> _Set:
    rows, codes, covariates = collapsed(rows, codes, covariates)
    methods, cuts = np.unique(codes).size, rows.cuts
    if min(methods, cuts) > MOST_LEVELS:
        raise NotSettledError(
            f"{methods} methods and {cuts} cuts are more than can be told apart (up to "
            f"{MOST_LEVELS} of either): put rare methods together."
        )
    inside = cuts >= methods
    order = np.argsort(rows.cluster if inside else codes, kind="stable")
    rows, codes, covariates = rows_by(order, rows, codes, covariates)
    method, cut = Factor.of(codes), Factor.of(rows.cluster)
    columns = Columns.of(covariates, rows.weight)
    outside = method if inside else cut
    table = (outside.code[:, None] == np.arange(outside.names.size)).astype(np.float64)
    design = np.concatenate((columns.design(covariates), table), axis=1)
    mean = prior_mean(rows, design.shape[1])
    blocks = (cut if inside else method).names.size
    start = _without_effects(rows, mean, blocks)
    return _Set(rows, columns, design, method, cut, inside, start)


def _without_effects(rows: IntervalRows, mean: Point, blocks: int) -> Point:
    """Where the full climb starts: one curve for all pieces."""
    one = Point(LEVEL[None] ** -2.0, np.full(2, SHAPE_SD**-2.0), np.ones((1, 3)))
    ones, none = np.ones((rows.left.size, 1)), np.zeros(0, np.int64)
    centre = Point(mean.outer[:1], mean.shape, np.zeros((0, 3)))
    weight = rows.weight.astype(np.float64)
    alone = Problem(Bounds.of(rows), weight, ones, none, none, centre, one)
    found = climb(alone, centre, LOOSE).at
    outer = mean.outer.copy()
    outer[0] = found.outer[0]
    return Point(outer, found.shape, np.zeros((blocks, 3)))


def _variances(
    given: _Set, top: Top, method: FloatArray, cut: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The next (method, cut) variances, (3,) each, by the fixed point in the head of this file."""
    first = 1 + given.columns.kept.size
    m = top.at.outer.shape[0]
    outer, inner = top.curvature.variances()
    outside = top.at.outer[first:], outer[: 3 * m].reshape(3, m).T[first:]
    inside = top.at.inner, inner
    mine, theirs = (outside, inside) if given.cuts_inside else (inside, outside)
    return _fixed_point(*mine, method, USUAL_METHOD), _fixed_point(*theirs, cut, USUAL_CUT)


def _fixed_point(
    effect: FloatArray, own: FloatArray, variance: FloatArray, usual: FloatArray
) -> FloatArray:
    number = np.maximum(effect.shape[0] - own.sum(axis=0) / variance, 0.0)
    found: FloatArray = ((effect**2).sum(axis=0) + IMAGINARY * usual**2) / (number + IMAGINARY)
    return found
