"""The log-likelihood of masses on columns, when every row covers one run of columns.

With P_i = p_lo + ... + p_(hi-1) the probability of row i and w_i its weight,
    l(p)  = sum_i w_i log P_i
    g_j   = sum over rows i covering j of w_i / P_i                       (first derivative)
    H_jk  = sum over rows i covering j and k of w_i / P_i^2               (minus the second)
Runs make all three prefix sums: O(rows + columns), the last O(rows + columns^2).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.rows import FloatArray, IntArray, sums


@dataclass(frozen=True)
class Runs:
    """Rows as runs [lo, hi) of `columns` columns with positive weights; shapes (rows,)."""

    lo: IntArray
    hi: IntArray
    weight: FloatArray
    columns: int

    @property
    def total(self) -> float:
        return float(self.weight.sum())


def probabilities(mass: FloatArray, runs: Runs) -> FloatArray:
    """P_i for every row, shape (rows,)."""
    before = np.zeros(mass.size + 1)
    np.cumsum(mass, out=before[1:])
    return before[runs.hi] - before[runs.lo]


def log_likelihood(chance: FloatArray, runs: Runs) -> float:
    """l(p) from the rows' probabilities; minus infinity where a row has none left."""
    if chance.size and chance.min() <= 0.0:
        return -np.inf
    return float(runs.weight @ np.log(chance))


def gradient(chance: FloatArray, runs: Runs) -> FloatArray:
    """g_j, shape (columns,)."""
    pull = runs.weight / chance
    size = runs.columns + 1
    step = sums(runs.lo, pull, size) - sums(runs.hi, pull, size)
    return np.cumsum(step)[:-1]


def curvature(chance: FloatArray, runs: Runs) -> FloatArray:
    """H, shape (columns, columns), symmetric and non-negative definite.

    A row covers j <= k just when lo <= j and hi > k: a two-dimensional prefix sum over the
    table of rows by (lo, hi).
    """
    size = runs.columns + 1
    table = sums(runs.lo * size + runs.hi, runs.weight / chance**2, size * size)
    square = table.reshape(size, size)[:-1, 1:]
    upper = np.triu(np.cumsum(np.cumsum(square, axis=0)[:, ::-1], axis=1)[:, ::-1])
    return upper + np.triu(upper, 1).T


def expectation_step(mass: FloatArray, runs: Runs, total: float) -> FloatArray:
    """One step of self-consistency, p_j g_j / N (Efron 1967; Turnbull 1976): l never falls."""
    return mass * gradient(probabilities(mass, runs), runs) / total
