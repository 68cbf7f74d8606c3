"""When pieces become ready and when they are lost, jointly, from looks with gaps between them.

The nonparametric maximum likelihood estimate of the two sub-distribution functions
    F_ready(t) = P(ready on or before day t),   F_lost(t) = P(lost, not yet ready, by day t)
from interval-censored data (Hudgens, Satten & Longini 2001, Biometrics 57:74). With one cause
only it is Turnbull's estimate (1976, JRSS B 38:290). Lost is an outcome of its own, never
censoring in the ready curve.

What is not known is not drawn: inside an interval (q, r] that carries mass, F is not identified.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import ShareError
from api.healing.intersections import Grid, grid_of
from api.healing.likelihood import Runs
from api.healing.maximise import maximise
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows

# Sums of masses carry rounding of about this size when they are compared with a share.
ROUNDING = 1e-9


@dataclass(frozen=True)
class CauseCurve:
    """F of one cause: `mass` on the intervals (left, right] of whole days, in order.

    `tail_mass` could still come after day `tail_from`, or go to the other cause, or never.
    Shapes (intervals,). Convention, at the end of day t:
      lower(t) = mass on intervals with right <= t
      upper(t) = mass on intervals with left < t, and the tail where tail_from < t
    Both are equal on days that no interval with mass straddles.
    """

    left: IntArray
    right: IntArray
    mass: FloatArray
    tail_from: int
    tail_mass: float

    def bounds(self, days: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """(lower, upper) at each of `days`, each of the same shape."""
        when = np.asarray(days)
        before = np.concatenate(([0.0], np.cumsum(self.mass)))
        lower = before[np.searchsorted(self.right, when, side="right")]
        upper = before[np.searchsorted(self.left, when, side="left")]
        upper = upper + np.where(when > self.tail_from, self.tail_mass, 0.0)
        return np.minimum(lower, 1.0), np.minimum(upper, 1.0)

    def cumulative(self, day: float) -> tuple[float, float]:
        """(lower, upper) of F at the end of one day."""
        lower, upper = self.bounds([day])
        return float(lower[0]), float(upper[0])

    def quantile(self, share: float) -> tuple[int, int] | None:
        """The (q, r] in which F first reaches `share` of all pieces; None if it never does.

        F(q) < share <= F(r): the day is one of q + 1, ..., r. ShareError unless 0 < share <= 1.
        """
        if not 0.0 < share <= 1.0:
            raise ShareError(f"A share of pieces lies above 0 and at most at 1, not at {share}.")
        reached = np.cumsum(self.mass) >= share - ROUNDING
        if not reached.any():
            return None
        first = int(np.argmax(reached))
        return int(self.left[first]), int(self.right[first])

    def change_days(self) -> IntArray:
        """Day 0 and each whole day on which lower or upper differs from the day before."""
        tail = [self.tail_from + 1] if self.tail_mass > 0.0 else []
        return np.unique(np.concatenate(([0], self.left + 1, self.right, tail)).astype(np.int64))

    def points(self) -> list[tuple[int, float, float]]:
        """(day, lower, upper) from day 0; each holds until the next day listed (steps)."""
        days = self.change_days()
        lower, upper = self.bounds(days)
        return list(zip(days.tolist(), lower.tolist(), upper.tolist(), strict=True))


@dataclass(frozen=True)
class Incidence:
    """Both curves of one fit. `gap` bounds what the log-likelihood misses, as a share of
    `pieces`; `steps` counts Newton steps. `grid` and `mass` (columns,) serve refits."""

    ready: CauseCurve
    lost: CauseCurve
    pieces: int
    loglik: float
    gap: float
    steps: int
    grid: Grid
    mass: FloatArray

    def curve(self, cause: Cause) -> CauseCurve:
        """The curve of READY or LOST."""
        if cause not in (Cause.READY, Cause.LOST):
            raise ShareError("Only ready and lost have a curve; still healing is no event.")
        return self.ready if cause == Cause.READY else self.lost

    @property
    def tail_mass(self) -> float:
        """The share neither ready nor lost by the last look."""
        return self.ready.tail_mass


def fit_incidence(rows: IntervalRows) -> Incidence:
    """The joint estimate; gap <= 1e-8. No rows give no mass, all of it in the tail from day 0.

    The masses are the only ones with this likelihood (see `intersections`)."""
    grid = grid_of(rows)
    best = maximise(Runs(grid.lo, grid.hi, grid.weight, grid.columns))
    ready, lost = curves(grid, best.mass)
    return Incidence(ready, lost, rows.pieces, best.loglik, best.gap, best.steps, grid, best.mass)


def curves(grid: Grid, mass: FloatArray) -> tuple[CauseCurve, CauseCurve]:
    """(ready, lost) of `mass` (columns,) unfolded into days; columns without mass are dropped."""
    width, tail = 2 * grid.fold - 1, grid.is_tail
    left_over = float(mass[tail].sum())
    ready_from = int(grid.start[tail].max(initial=0)) if tail.any() else grid.fold - 1
    lost_from = int(width - grid.end[tail].min()) if tail.any() else grid.fold - 1
    ready, lost = grid.is_ready & (mass > 0.0), grid.is_lost & (mass > 0.0)
    return (
        CauseCurve(grid.start[ready], grid.end[ready], mass[ready], ready_from, left_over),
        CauseCurve(
            (width - grid.end)[lost][::-1], (width - grid.start)[lost][::-1],
            mass[lost][::-1], lost_from, left_over,
        ),
    )  # fmt: skip
