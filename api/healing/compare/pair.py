"""Both groups' curves, and both again without each cut, so that a shared cut leaves both at once.

Let e1_c be what leaving out cut c does to a figure of the first group, less the mean of that over
the S1 cuts of the group, times sqrt((S1 - 1) / S1), and 0 where c has no piece in the group; e2_c
in the second. The variance of the difference is the sum over the union of cuts of (e1_c - e2_c)^2:
with no cut shared the two jackknife variances added, with all shared the jackknife of the
difference itself (Tukey 1958; Lipsitz, Dear & Zhao 1994, Biometrics 50:842).

Above 30 cuts in a group, cuts are given random weights 200 times instead: the Bayesian bootstrap by
cuts (Rubin 1981, Ann Stat 9:130), a shared cut with one weight on both sides. Exponential weights
leave no group without cuts, as drawing might; they spread a mean of S cuts by (S - 1) / (S + 1) too
little, and that is put right.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.bands import JACKKNIFE_UP_TO
from api.healing.errors import TooFewCutsError
from api.healing.incidence import Incidence, curves, fit_incidence
from api.healing.resample import REFIT_MISS, Replicates, leave_one_out, refit
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums

DRAWS = 200


@dataclass(frozen=True)
class Side:
    """One group. `place` (replicates,): where each replicate stands among those of the pair."""

    fit: Incidence
    again: Replicates
    place: IntArray

    def at(self, cause: Cause, day: int) -> tuple[FloatArray, FloatArray]:
        """F's (lower, upper) at `day`, and the same of each replicate, (replicates, 2)."""
        grid = self.fit.grid
        each = [curves(grid, mass)[int(cause)].cumulative(day) for mass in self.again.mass]
        return np.array(self.fit.curve(cause).cumulative(day)), np.array(each)


@dataclass(frozen=True)
class Pair:
    """Two groups; `cuts` counts the union, `replicates` those of the pair."""

    one: Side
    two: Side
    cuts: int
    replicates: int

    def moves(self, side: Side, values: FloatArray) -> FloatArray:
        """e_c of a side's figure from its replicates' `values`; shape (replicates,)."""
        out = np.zeros(self.replicates)
        out[side.place] = np.sqrt(side.again.factor) * (values - values.mean())
        return out

    def freedom(self, one: float, two: float) -> float:
        """Degrees of freedom of a difference whose sides have these variances.

        Welch's (1947, Biometrika 34:28), at most those of the union of cuts: S - 1 where all are
        shared. Without any variance, those of the side with fewer cuts.
        """
        free = self.one.again.cuts - 1, self.two.again.cuts - 1
        if one + two == 0.0:
            return float(min(free))
        welch = (one + two) ** 2 / (one * one / free[0] + two * two / free[1])
        return float(min(welch, self.cuts - 1))


def pair_of(one: IntervalRows, two: IntervalRows, seed: int = 0) -> Pair:
    """Both fits and their replicates; TooFewCutsError below two cuts on a side."""
    if min(one.cuts, two.cuts) < 2:
        raise TooFewCutsError(
            f"The groups have {one.cuts} and {two.cuts} cut(s); how much cuts differ is only seen "
            "from two on in each. Show both without an interval of the difference."
        )
    union = np.unique(np.concatenate((one.cluster, two.cluster)))
    fits = fit_incidence(one), fit_incidence(two)
    if max(one.cuts, two.cuts) <= JACKKNIFE_UP_TO:
        sides = [
            Side(fit, leave_one_out(rows, fit), np.searchsorted(union, np.unique(rows.cluster)))
            for rows, fit in zip((one, two), fits, strict=True)
        ]
        return Pair(sides[0], sides[1], union.size, union.size)
    weights = np.random.default_rng(seed).exponential(size=(DRAWS, union.size))
    sides = [
        Side(fit, _weighted(rows, fit, union, weights), np.arange(DRAWS))
        for rows, fit in zip((one, two), fits, strict=True)
    ]
    return Pair(sides[0], sides[1], union.size, DRAWS)


def _weighted(
    rows: IntervalRows, fit: Incidence, union: IntArray, weights: FloatArray
) -> Replicates:
    place, cuts = np.searchsorted(union, rows.cluster), rows.cuts
    gap, size = REFIT_MISS / rows.pieces, fit.grid.lo.size
    mass = [refit(fit, sums(fit.grid.member, rows.weight * w[place], size), gap) for w in weights]
    factor = (cuts + 1) / (cuts - 1) / (len(weights) - 1)
    return Replicates(np.array(mass), factor, cuts, "bootstrap")
