"""The estimate again with some cuts left out, or with cuts drawn again: how cuts differ.

Pieces of one cut share a mother, a blade and a hand, so the cut and not the piece is what is
left out or drawn. Intersections are found once. A refit keeps the full fit's columns, runs on
the intersections of the rows it has left (in terms of those columns), and starts from the full
fit; columns that its rows no longer tell apart share their mass as in the full fit, which is where
self-consistency steps from the full fit would end.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from api.healing.errors import TooFewCutsError
from api.healing.incidence import Incidence
from api.healing.intersections import Grid, covered, maximal
from api.healing.likelihood import Runs
from api.healing.maximise import GAP, maximise
from api.healing.rows import FloatArray, IntArray, IntervalRows, sums

# A refit may miss this much log-likelihood: far below what sampling moves.
REFIT_MISS = 0.01
# Few steps of self-consistency are needed when the start is the full fit.
REFIT_EM = 10


@dataclass(frozen=True)
class Replicates:
    """`mass` (replicates, columns) of refits on the columns of one fit.

    The variance of any F(t) is `factor` times the sum of squared deviations of its replicates
    from their mean.
    """

    mass: FloatArray
    factor: float
    cuts: int
    method: str

    def variance(self, values: FloatArray) -> FloatArray:
        """Variance of a statistic from its `values` (replicates, days); shape (days,)."""
        spread: FloatArray = ((values - values.mean(axis=0)) ** 2).sum(axis=0)
        return self.factor * spread


def leave_one_out(rows: IntervalRows, fit: Incidence) -> Replicates:
    """One refit without each cut: the jackknife over clusters, variance (S - 1)/S times the sum.

    Tukey 1958; Lipsitz, Dear & Zhao 1994, Biometrics 50:842. `fit` must be of these rows.
    TooFewCutsError below two cuts.
    """
    table = CutTable.of(rows, fit.grid)
    out = [refit(fit, fit.grid.weight - one, GAP) for one in table.each_cut()]
    return Replicates(np.array(out), (table.cuts - 1) / table.cuts, table.cuts, "jackknife")


def drawn_again(rows: IntervalRows, fit: Incidence, seed: int, draws: int = 200) -> Replicates:
    """`draws` refits, each with S cuts drawn with replacement: the bootstrap over clusters.

    Efron 1979; Davison & Hinkley 1997, section 3.8. The same `seed` gives the same answer.
    `fit` must be of these rows. TooFewCutsError below two cuts.
    """
    table = CutTable.of(rows, fit.grid)
    random = np.random.default_rng(seed)
    times = random.multinomial(table.cuts, np.full(table.cuts, 1.0 / table.cuts), draws)
    gap = REFIT_MISS / max(rows.pieces, 1)
    out = [refit(fit, table.weights(count), gap) for count in times]
    return Replicates(np.array(out), 1.0 / (draws - 1), table.cuts, "bootstrap")


def refit(fit: Incidence, weight: FloatArray, gap: float) -> FloatArray:
    """Masses on the columns of `fit` when its unique rows have `weight`, some but not all zero."""
    grid, keep = fit.grid, weight > 0.0
    lo, hi = grid.lo[keep], grid.hi[keep]
    starts, ends = np.zeros((2, grid.columns + 1), dtype=np.bool_)
    starts[lo], ends[hi] = True, True
    left, right = maximal(starts, ends)
    first, last = covered(lo, hi, left, right)
    size = right - left
    inside = np.repeat(left - np.cumsum(size) + size, size) + np.arange(size.sum())
    before = fit.mass[inside]
    group = np.repeat(np.arange(size.size), size)
    start = sums(group, before, size.size)
    # Self-consistency never revives a mass of zero, so the start is not let go quite so far.
    near = np.asarray(0.99 * start + 0.01 / size.size, np.float64)
    best = maximise(Runs(first, last, weight[keep], size.size), near, REFIT_EM, gap)
    equal = 1.0 / size[group]
    part = np.divide(before, start[group], out=equal, where=start[group] > 0.0)
    mass = np.zeros(grid.columns)
    mass[inside] = best.mass[group] * part
    return mass


@dataclass(frozen=True)
class CutTable:
    """Pieces by cut and unique row, zeros left out; sorted by cut. Shapes (entries,)."""

    cut: IntArray
    row: IntArray
    weight: FloatArray
    cuts: int
    rows: int

    @classmethod
    def of(cls, rows: IntervalRows, grid: Grid) -> CutTable:
        names, code = np.unique(rows.cluster, return_inverse=True)
        if names.size < 2:
            raise TooFewCutsError(
                f"There are pieces of {names.size} cut(s); how much cuts differ is only seen from "
                "two on. Show the counts without an interval."
            )
        width = grid.lo.size
        keys, entry = np.unique(code * width + grid.member, return_inverse=True)
        weight = sums(entry, rows.weight, keys.size)
        return cls(keys // width, keys % width, weight, int(names.size), width)

    def weights(self, times: IntArray) -> FloatArray:
        """Weight of each unique row, (rows,), when cut s counts `times[s]` times."""
        return sums(self.row, self.weight * times[self.cut], self.rows)

    def each_cut(self) -> Iterator[FloatArray]:
        """Weight of each unique row within one cut after another."""
        edges = np.searchsorted(self.cut, np.arange(self.cuts + 1))
        for begin, stop in pairwise(edges):
            yield sums(self.row[begin:stop], self.weight[begin:stop], self.rows)
