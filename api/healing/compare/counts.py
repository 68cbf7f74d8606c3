"""Counts by a day, and an exact test of them: for pieces that are each a cut of their own.

Pieces of one cut are alike, so counts of them are not free of each other, and a table of pieces has
no exact test; then whole cuts are dealt anew (`permute`).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.special import gammaln, xlog1py, xlogy

from api.healing.errors import RowsError, ShareError
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums

EXACT_UP_TO = 200
"""Pieces of both sides; with more the permutation test says the same."""
GRID = np.linspace(0.0, 1.0, 1001)


class Count(NamedTuple):
    """`events` among `known` pieces."""

    events: int
    known: int


class Exact(NamedTuple):
    """Two-sided p, and the least p that so many pieces can give."""

    p: float
    smallest: float


def count_by(rows: IntervalRows, age: IntArray, cause: Cause, day: int) -> Count:
    """How many became ready (or were lost) by the first look on `day` or after, of those known.

    `age` (rows,): days from the cut to today. Only pieces of that age count, whatever became of
    them: a loss is known early, a living piece's fate only at the next round, so that young pieces
    would make losses look frequent. A lost piece is never ready, a ready one was not lost first.
    RowsError for ages that do not fit or STILL as a cause, ShareError for a day before 1.
    """
    if cause == Cause.STILL or age.shape != rows.left.shape:
        raise RowsError("Ready or lost is counted, with an age for each row. Nothing was counted.")
    if day < 1:
        raise ShareError(f"Pieces are counted by day 1 after the cut or later, not by day {day}.")
    came, still = rows.cause == cause, rows.cause == Cause.STILL
    seen = rows.left if cause == Cause.READY else rows.right
    known = (age >= day) & (~still | (seen >= day))
    by = known & came & (rows.left < day)
    return Count(int(rows.weight[by].sum()), int(rows.weight[known].sum()))


def alone(rows: IntervalRows) -> bool:
    """Whether each piece is its own cut. Pass both groups at once; True of no pieces."""
    names, code = np.unique(rows.cluster, return_inverse=True)
    return bool((sums(code, rows.weight, names.size) <= 1.0).all())


def barnard(one: Count, two: Count) -> Exact:
    """Barnard's test (1947, Biometrika 34:123) of two shares, tables ordered by the pooled score
    statistic (Suissa & Shuster 1985, J R Stat Soc A 148:317, from memory).

    Two-sided: the chance of all tables at least as far apart, at the common share at which it is
    largest. ShareError for a side without pieces or impossible counts. Where nothing, or
    everything, has the event, p is 1.
    """
    for events, known in (one, two):
        if not 0 <= events <= known or known == 0:
            raise ShareError(f"{events} of {known} pieces is not a share; check the counts.")
    apart = _apart(one.known, two.known)
    least = apart[one.events, two.events]
    return Exact(_largest(apart, least), _largest(apart, apart[-1, 0]))


def _apart(n: int, m: int) -> FloatArray:
    """The score statistic of each table, (n + 1, m + 1); 0 where all or none have the event."""
    i, j = np.arange(n + 1)[:, None], np.arange(m + 1)
    share = (i + j) / (n + m)
    error = np.sqrt(share * (1.0 - share) * (1.0 / n + 1.0 / m))
    away = np.abs(i / n - j / m)
    return np.divide(away, error, out=np.zeros_like(away), where=error > 0.0)


def _largest(apart: FloatArray, least: float) -> float:
    """Of sum_k h_k Binomial(k; n + m, share) over shares, h_k being the part of the tables with k
    events that are as far apart, ties included (scipy's barnard_exact loses ties to rounding, and
    its p is too small for it). On a grid finer than any of its waves, then between its points."""
    n, m = apart.shape[0] - 1, apart.shape[1] - 1
    i, j = np.arange(n + 1)[:, None], np.arange(m + 1)
    ways = np.exp(_log_choose(n, i) + _log_choose(m, j) - _log_choose(n + m, i + j))
    far = apart >= least - 1e-9
    h = sums((i + j)[far], ways[far], n + m + 1)
    k = np.arange(n + m + 1)
    weight = np.log(np.maximum(h, 1e-300)) + _log_choose(n + m, k)

    def chance(share: FloatArray | float) -> FloatArray:
        at = np.atleast_1d(share)[:, None]
        found: FloatArray = np.exp(weight + xlogy(k, at) + xlog1py(n + m - k, -at)).sum(axis=1)
        return found

    on_grid = chance(GRID)
    top = int(np.argmax(on_grid))
    around = GRID[max(top - 1, 0)], GRID[min(top + 1, GRID.size - 1)]
    better = minimize_scalar(lambda at: -float(chance(at)[0]), bounds=around, method="bounded")
    return min(max(float(on_grid[top]), -float(better.fun)), 1.0)


def _log_choose(n: int, k: IntArray) -> FloatArray:
    found: FloatArray = gammaln(n + 1) - gammaln(k + 1) - gammaln(n - k + 1)
    return found
