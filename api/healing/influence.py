"""How much each of very many cuts moves the estimate, to first order: no cut need be drawn again.

Where there are hundreds of cuts, weights that change a little move the masses along a straight
line, and what drawing cuts again would show can be written down: the infinitesimal jackknife
(Jaeckel 1972, from memory; Efron 1982, The Jackknife, the Bootstrap and Other Resampling Plans,
chapter 6), which for a likelihood and clusters is the sandwich (Lin & Wei 1989, JASA 84:1074).
On the columns that carry mass the estimate solves g(p) = N, so that a cut c with scores g_c and n_c
pieces moves it by
    psi_c = H^-1 (g_c - n_c),   and   Var(p) = S / (S - 1) sum_c psi_c psi_c'.
"""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_factor, cho_solve, cholesky

from api.healing.incidence import ROUNDING, Incidence
from api.healing.likelihood import Runs, curvature, probabilities
from api.healing.resample import CutTable, Replicates
from api.healing.rows import BoolArray, FloatArray, IntervalRows

ENOUGH = 4_000
"""Of more cuts so many are looked at, the same each time: a variance from 4,000 is known to 2 in a
hundred."""


def influence(rows: IntervalRows, fit: Incidence) -> Replicates:
    """Replicates whose variance is that of the first order, of any statistic linear in the masses.

    There are two for each direction in which cuts move the masses, one to either side.
    `fit` must be of these rows. TooFewCutsError below two cuts.
    """
    table = CutTable.of(rows, fit.grid)
    grid = fit.grid
    runs = Runs(grid.lo, grid.hi, grid.weight, grid.columns)
    chance = probabilities(fit.mass, runs)
    free = fit.mass > ROUNDING
    scores = _scores(table, runs, chance, free)
    bend = cho_factor(_bent(curvature(chance, runs)[np.ix_(free, free)]))
    spread = cho_solve(bend, cho_solve(bend, scores).T) * table.cuts / (table.cuts - 1)
    moves = np.zeros((int(free.sum()), grid.columns))
    moves[:, free] = cholesky(_bent((spread + spread.T) / 2.0)) / np.sqrt(2.0)
    return Replicates(
        np.concatenate([fit.mass + moves, fit.mass - moves]), 1.0, table.cuts, "influence"
    )


def _bent(matrix: FloatArray) -> FloatArray:
    """The matrix made safe to invert and to take a root of: rounding and columns that rows hardly
    tell apart would leave it short of positive definite."""
    return matrix + 1e-9 * np.diag(np.diag(matrix).clip(np.finfo(np.float64).tiny))


def _scores(table: CutTable, runs: Runs, chance: FloatArray, free: BoolArray) -> FloatArray:
    """sum_c (g_c - n_c)(g_c - n_c)' on the free columns, (free, free)."""
    cuts = min(table.cuts, ENOUGH)
    place = np.full(table.cuts, -1)
    place[np.random.default_rng(0).permutation(table.cuts)[:cuts]] = np.arange(cuts)
    meant = place[table.cut] >= 0
    cut, row, weight = place[table.cut[meant]], table.row[meant], table.weight[meant]
    before = np.concatenate(([0], np.cumsum(free)))
    width = int(before[-1]) + 1
    pull = weight / chance[row]
    steps = np.bincount(cut * width + before[runs.lo[row]], pull, cuts * width)
    steps -= np.bincount(cut * width + before[runs.hi[row]], pull, cuts * width)
    each = np.cumsum(steps.reshape(cuts, width), axis=1)[:, :-1]
    each -= np.bincount(cut, weight, cuts)[:, None]
    total: FloatArray = np.asarray(each.T @ each) * (table.cuts / cuts)
    return total
