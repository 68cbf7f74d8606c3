"""What a fitted mixture says of both groups if all pieces were of the one, then of the other.

Each piece's own curve is computed twice, and averaged over all pieces of both groups. Four figures
of each group, in this order wherever there are four:
    share ready by a day, share lost by it, the day half are ready, the share ever ready.
The slope of each in the unknowns is what the delta method takes (Oehlert 1992, Am Stat 46:27, from
memory); that of the day h follows from F(h) = 1/2: dh = -dF(h) / F'(h).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from api.healing.predict.climb import Point
from api.healing.predict.mixture import log_day, log_power, log_shares
from api.healing.rows import MAX_DAY, FloatArray

READY, LOST = 0, 1
GROUP = 1
"""The column of the design that says which group a piece is of: -1/2 or 1/2."""
LAST = float(np.log(MAX_DAY))
"""Ready within a hundred years is ready ever; logarithm of the day."""


@dataclass(frozen=True)
class Slopes:
    """Of the four figures of both groups, first to last.

    unknown  (4, 2, q) in the unknowns, in the order of `curvature`
    own      (4, 2, n) in the weight of each piece, were all weights together 1
    """

    unknown: FloatArray
    own: FloatArray


class _Group:
    """Every piece as if of one group. `weight` (n,) sums to 1; times are logarithms of days."""

    def __init__(self, design: FloatArray, weight: FloatArray, at: Point, side: int) -> None:
        self.design, self.weight, self.shape = design.copy(), weight, at.shape
        self.design[:, GROUP] = side - 0.5
        three = self.design @ at.outer
        self.share = np.exp(np.stack(log_shares(three[:, 0])))
        self.scale = three[:, 1:].T

    def by(self, cause: int, time: float) -> FloatArray:
        """Each piece's F of a cause, (n,)."""
        found: FloatArray = self.share[cause] * -np.expm1(-np.exp(self._log_u(cause, time)))
        return found

    def half(self) -> float:
        """When the mean share ready is a half; nan if it stays below."""
        if self._over_half(LAST) <= 0.0:
            return float("nan")
        # Long before the fastest piece's scale: its u is exp(-8) there.
        early = float(self.scale[READY].min() - 8.0 * np.exp(-self.shape[READY]))
        return float(brentq(self._over_half, early, LAST, xtol=1e-10))

    def slope(self, cause: int, time: float) -> FloatArray:
        """Of the mean F in the unknowns, (q,)."""
        rate = self.weight * self._rate(cause, time)
        odds = self.weight * self.by(cause, time) * self.share[1 - cause]
        found, shapes = np.zeros((3, self.design.shape[1])), np.zeros(2)
        found[0] = (odds if cause == READY else -odds) @ self.design
        found[1 + cause] = -np.exp(self.shape[cause]) * rate @ self.design
        shapes[cause] = rate @ self._log_u(cause, time)
        return np.concatenate((found.ravel(), shapes))

    def density(self, time: float) -> float:
        """How much of the mean share gets ready in a day."""
        rate = float(self.weight @ self._rate(READY, time))
        return rate * float(np.exp(self.shape[READY] - time))

    def _over_half(self, time: float) -> float:
        return float(self.weight @ self.by(READY, time)) - 0.5

    def _rate(self, cause: int, time: float) -> FloatArray:
        log_u = self._log_u(cause, time)
        found: FloatArray = self.share[cause] * np.exp(log_u - np.exp(log_u))
        return found

    def _log_u(self, cause: int, time: float) -> FloatArray:
        return log_power(np.array(time), self.scale[cause], self.shape[cause])


def figures(design: FloatArray, weight: FloatArray, at: Point, day: int) -> FloatArray:
    """The four of both groups, (4, 2); the day half are ready is nan where that is never so.

    design (n, m) has the group in its column GROUP; `weight` (n,) counts pieces.
    """
    found, time = np.zeros((4, 2)), float(log_day(np.array(day)))
    for side, group in _groups(design, weight, at):
        each = group.by(READY, time), group.by(LOST, time), group.by(READY, LAST)
        ready, lost, ever = (float(group.weight @ one) for one in each)
        found[:, side] = ready, lost, np.exp(group.half()), ever
    return found


def slopes(design: FloatArray, weight: FloatArray, at: Point, day: int) -> Slopes:
    """Of `figures` at the same arguments; 0 for a day that is never reached."""
    n, m = design.shape
    unknown, own = np.zeros((4, 2, 3 * m + 2)), np.zeros((4, 2, n))
    time = float(log_day(np.array(day)))
    for side, group in _groups(design, weight, at):
        half = group.half()
        for k, (cause, when) in enumerate(((READY, time), (LOST, time), (READY, half),
                                           (READY, LAST))):  # fmt: skip
            if np.isnan(when):
                continue
            f = group.by(cause, when)
            scale = -1.0 / group.density(half) if k == 2 else 1.0
            unknown[k, side] = scale * group.slope(cause, when)
            own[k, side] = scale * (f - group.weight @ f)
    return Slopes(unknown, own)


def _groups(design: FloatArray, weight: FloatArray, at: Point) -> Iterator[tuple[int, _Group]]:
    share = weight / weight.sum()
    for side in range(2):
        yield side, _Group(design, share, at, side)
