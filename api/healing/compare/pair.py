"""Both groups' curves, and both again without each cut, so that a shared cut leaves both at once.

Let e1_c be what leaving out cut c does to a figure of the first group, less the mean of that over
the S1 cuts of the group, times sqrt((S1 - 1) / S1), and 0 where c has no piece in the group; e2_c
in the second. The variance of the difference is the sum over the union of cuts of (e1_c - e2_c)^2:
with no cut shared the two jackknife variances added, with all shared the jackknife of the
difference itself (Tukey 1958; Lipsitz, Dear & Zhao 1994, Biometrics 50:842).

Above 60 cuts in both groups together, cuts are given random weights 200 times instead: the Bayesian
bootstrap by cuts (Rubin 1981, Ann Stat 9:130), a shared cut with one weight on both sides.
Exponential weights leave no group without cuts, as drawing might; they spread a mean of S cuts by
(S - 1) / (S + 1) too little, and that is put right.

Where no cut is shared the sides do not move together, and a side of more than 200 cuts takes what
such weights come to instead, written down without a refit (`healing.influence`, as in `bands`). It
has no move for each cut, so sides that share cuts are weighted, however many those are.

A group meets every other one, each time with the same replicates: the last few are kept. A cut's
weights therefore follow from its number alone, whichever cuts are beside it.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Literal

import numpy as np

from api.healing.bands import DRAWN_UP_TO
from api.healing.errors import TooFewCutsError
from api.healing.incidence import Incidence, curves, fit_incidence
from api.healing.influence import influence
from api.healing.resample import REFIT_MISS, Replicates, leave_one_out, refit
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums

DRAWS = 200
LEFT_OUT_UP_TO = 60
"""Cuts of both groups together; refits without one are quick, since the full fit is near."""
KEPT, KEPT_ROWS = 20, 20_000
"""Groups whose replicates are kept; those of more rows would fill the memory, and are not."""
OFFSET = 2**63
"""Numbers of cuts may be negative, seeds not."""

How = Literal["left-out", "weighted", "influence"]
"""Where a side's replicates come from."""


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
    if union.size <= LEFT_OUT_UP_TO:
        sides = []
        for rows in (one, two):
            fit, again = _replicates(rows, "left-out")
            sides.append(Side(fit, again, np.searchsorted(union, np.unique(rows.cluster))))
        return Pair(sides[0], sides[1], union.size, union.size)
    if union.size < one.cuts + two.cuts:
        found = [_replicates(rows, "weighted", seed) for rows in (one, two)]
        sides = [Side(fit, again, np.arange(DRAWS)) for fit, again in found]
        return Pair(sides[0], sides[1], union.size, DRAWS)
    return _beside(one, two, seed)


def _beside(one: IntervalRows, two: IntervalRows, seed: int) -> Pair:
    """Sides that share no cut: what moves the one leaves the other where it is."""
    first, second = (
        _replicates(rows, "influence" if rows.cuts > DRAWN_UP_TO else "weighted", seed)
        for rows in (one, two)
    )
    middle, end = len(first[1].mass), len(first[1].mass) + len(second[1].mass)
    sides = Side(*first, np.arange(middle)), Side(*second, np.arange(middle, end))
    return Pair(sides[0], sides[1], one.cuts + two.cuts, end)


class _Key:
    """Rows that are the same as others if all their numbers are."""

    def __init__(self, rows: IntervalRows) -> None:
        self.rows = rows
        self.content = tuple(getattr(rows, column.name).tobytes() for column in fields(rows))

    def __hash__(self) -> int:
        return hash(self.content)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and self.content == other.content


def _replicates(rows: IntervalRows, how: How, seed: int = 0) -> tuple[Incidence, Replicates]:
    """A group's fit and its replicates; `seed` draws weights, and nothing else."""
    drawn = seed if how == "weighted" else 0
    if rows.left.size > KEPT_ROWS:
        return _worked_out(rows, how, drawn)
    return _kept(_Key(rows), how, drawn)


@lru_cache(maxsize=KEPT)
def _kept(key: _Key, how: How, seed: int) -> tuple[Incidence, Replicates]:
    return _worked_out(key.rows, how, seed)


def _worked_out(rows: IntervalRows, how: How, seed: int) -> tuple[Incidence, Replicates]:
    fit = fit_incidence(rows)
    if how == "left-out":
        return fit, leave_one_out(rows, fit)
    return fit, influence(rows, fit) if how == "influence" else _weighted(rows, fit, seed)


def _weighted(rows: IntervalRows, fit: Incidence, seed: int) -> Replicates:
    names, place = np.unique(rows.cluster, return_inverse=True)
    weights = np.array([
        np.random.default_rng((seed, int(name) + OFFSET)).exponential(size=DRAWS) for name in names
    ]).T  # fmt: skip
    gap, size = REFIT_MISS / rows.pieces, fit.grid.lo.size
    mass = [refit(fit, sums(fit.grid.member, rows.weight * w[place], size), gap) for w in weights]
    cuts = names.size
    factor = (cuts + 1) / (cuts - 1) / (DRAWS - 1)
    return Replicates(np.array(mass), factor, cuts, "bootstrap")
