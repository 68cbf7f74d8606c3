"""The figures of two groups again without each cut: how sure a fitted difference is.

Let s_c be the slope of cut c's log-likelihood at the top, and H_c its curvature; the others' slope
is -s_c there, so that without the cut the top lies near
    theta - (H - H_c)^-1 s_c                                        (one step of Newton's)
From there the climb without the cut goes on to the top: the jackknife over clusters (Tukey 1958;
Lipsitz, Dear & Zhao 1994, Biometrics 50:842). Above 60 cuts most steps are so short that one is
enough, and the figures move by their slopes (see `standard`), as in CR3 (Bell & McCaffrey 2002,
Surv Methodol 28:169; MacKinnon, Nielsen & Webb 2023, J Appl Econom 38:671; from memory). Without
H_c, in the plain sandwich, a cut would hide what it has bent towards itself: with fifty unknowns
and forty cuts the error comes out a third too small.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from api.healing.predict.climb import Point, Problem, Top, climb, moved
from api.healing.predict.curvature import curvature
from api.healing.predict.mixture import Terms, row_terms
from api.healing.predict.standard import figures, slopes
from api.healing.rows import FloatArray, IntArray

SETTLED = 1e-4
"""How much log-likelihood a climb without a cut may miss: far below what sampling moves."""
REFITTED_UP_TO = 60
SHORT = 0.3
"""A step that moves no unknown by more (a logit, a log) is as good as the climb."""


def left_out(problem: Problem, top: Top, cut: IntArray, day: int) -> FloatArray:
    """The figures of `standard`, (cuts, 4, 2), one without each cut; a day may be nan.

    `problem` has no blocks, `top` is its top; `cut` (n,) numbers cuts from 0 on. NotSettledError
    where a climb fails.
    """
    design, total = problem.design, float(problem.weight.sum())
    best = figures(design, problem.weight, top.at, day)
    slope = slopes(design, problem.weight, top.at, day)
    few, found = int(cut.max()) < REFITTED_UP_TO, []
    for index, step in _steps(problem, top, cut):
        if few or step is None or np.abs(step).max() > SHORT:
            weight = problem.weight.copy()
            weight[index] = 0.0
            found.append(figures(design, weight, _climbed(problem, top.at, step, weight), day))
            continue
        gone = problem.weight[index]
        own = slope.own[:, :, index] @ gone / (total - gone.sum())
        found.append(best + slope.unknown @ step - own)
    return np.array(found)


def jackknife_error(without: FloatArray) -> FloatArray:
    """Standard errors of second less first, (4,), from figures `without` (cuts, 4, 2) each cut:
    the root of (S - 1) / S times the sum of squares about their mean."""
    each = without[:, :, 1] - without[:, :, 0]
    squares = ((each - each.mean(axis=0)) ** 2).sum(axis=0)
    found: FloatArray = np.sqrt((each.shape[0] - 1) / each.shape[0] * squares)
    return found


def _climbed(problem: Problem, at: Point, step: FloatArray | None, weight: FloatArray) -> Point:
    """The top with these weights; from where the step leads, unless that is further down."""
    less = replace(problem, weight=weight)
    if step is not None:
        there = moved(at, (step, at.inner), 1.0)
        at = there if less.value(there) > less.value(at) else at
    return climb(less, at, SETTLED).at


def _steps(
    problem: Problem, top: Top, cut: IntArray
) -> Iterator[tuple[IntArray, FloatArray | None]]:
    """Of each cut its rows, and Newton's step (q,) without it; None where there is none."""
    terms = row_terms(problem.bounds, problem.five(top.at))
    whole = top.curvature.low @ top.curvature.low.T
    order = np.argsort(cut, kind="stable")
    for index in np.split(order, np.cumsum(np.bincount(cut))[:-1]):
        slope, bend = _of_cut(problem, terms, index)
        try:
            yield index, -cho_solve(cho_factor(whole - bend), slope)
        except np.linalg.LinAlgError:
            yield index, None


def _of_cut(problem: Problem, terms: Terms, index: IntArray) -> tuple[FloatArray, FloatArray]:
    """(slope (q,), curvature (q, q)) of some rows' log-likelihood."""
    weight, design = problem.weight[index], problem.design[index]
    slope = weight[:, None] * terms.slope[index]
    outer = (design.T @ slope[:, :3]).T.ravel()
    bend = curvature(design, -weight[:, None, None] * terms.curve[index]).outer
    return np.concatenate((outer, slope[:, 3:].sum(axis=0))), bend
