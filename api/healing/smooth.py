"""F averaged over the days between looks, as the band takes it.

Where looks of different cuts lie on different days, the estimate jumps on the few days that its
likelihood picks, and what it says of one day hangs on the few cuts looked at about then: at the
first days of a round of looks it is too low, at the last too high, and leaving out a cut does not
show it, since the jumps stay where they are (the bootstrap fails likewise: Sen, Banerjee &
Woodroofe 2010, Ann Stat 38:1953). The average of F over a window as wide as the time between looks,
    F~(t) = 1 / (2 h)  integral of F over (t - h, t + h),
is close to normal, and its standard error is right (the smoothed maximum likelihood estimate of
Groeneboom, Jongbloed & Witte 2010, Ann Stat 38:352; its intervals: Groeneboom & Hendrickx 2018,
Scand J Stat 45:1190; both from memory). `tests/reference/coverage.py` measures both.

An even spread over W days has the variance W^2 / 12. The window has as much of it as stretches
between looks have more than the intersections in them, (2 h)^2 = median of W^2 - w^2: nearly the
time between looks where cuts are looked at on different days; nothing, so that F~ is F, where every
piece is seen on the same days, or where days are known. Near the cut, where F bends most for its
size, h is at most a quarter of the days since.
"""

from __future__ import annotations

from math import ceil
from typing import NamedTuple

import numpy as np

from api.healing.incidence import CauseCurve, Incidence
from api.healing.intersections import Grid
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray

# Two columns of a day each give .87: less is rounding.
LEAST = 0.5
# Of the days since the cut: how far the window reaches to either side at most.
NEAR = 0.25


class Around(NamedTuple):
    """F~ on the nearest days on which F is known, as weights of masses: F~ = weights @ mass.

    below, above  (days, columns), of the last such day up to each day, of the first from it on
    """

    below: FloatArray
    above: FloatArray


def half_width(fit: Incidence, cause: Cause) -> float:
    """h in days, 0 or at least `LEAST`, from the pieces of `cause` (READY or LOST)."""
    grid = fit.grid
    first, last = _columns(grid, cause)
    own = (grid.lo >= first) & (grid.hi <= last)
    if not grid.is_tail.any():
        # What is still healing may reach into the last days of one cause alone.
        own &= (grid.hi < last) if cause == Cause.READY else (grid.lo > first)
    if not own.any():
        return 0.0
    lo, hi, weight = grid.lo[own], grid.hi[own], grid.weight[own]
    mass = np.concatenate(([0.0], np.cumsum(fit.mass)))
    square = np.concatenate(([0.0], np.cumsum(fit.mass * (grid.end - grid.start) ** 2)))
    stretch = (grid.end[hi - 1] - grid.start[lo]) ** 2
    column = (square[hi] - square[lo]) / (mass[hi] - mass[lo])
    excess, total = stretch - column, weight.sum()
    order = np.argsort(excess)
    middle = excess[order][np.searchsorted(np.cumsum(weight[order]), total / 2.0)]
    width = max(0.0, float(middle)) ** 0.5 / 2.0
    return width if width >= LEAST else 0.0


def days_of(fit: Incidence, cause: Cause, width: float) -> IntArray:
    """The days from 1 on from which F or F~ may be another, to the last on which F is."""
    changes = fit.curve(cause).change_days()
    if not width:
        return np.unique(np.append(changes, 1))[1:]  # without day 0
    start, end = _edges(fit.grid, cause)
    about = np.arange(-ceil(width), ceil(width) + 2)
    near = (np.concatenate((start, end))[:, None] + about).ravel()
    near = np.clip(np.concatenate((near, changes, [1])), 1, max(int(changes[-1]), 1))
    return np.unique(near).astype(np.int64)


def around(fit: Incidence, cause: Cause, days: IntArray, width: float) -> Around:
    """F~ about each of `days`, all at least 1, with h = `width`.

    Windows end with the watching. Within the interval of a mass F is not known:
    `below` is of the interval's start, `above` of its end, as `CauseCurve.bounds` has it. After the
    watching `above` takes in what may still come.
    """
    curve = fit.curve(cause)
    before, after = _known(curve, days)
    below = _weights(fit, cause, np.minimum(before, curve.tail_from), width)
    above = _weights(fit, cause, np.minimum(after, curve.tail_from), width)
    above[np.ix_(days > curve.tail_from, fit.grid.is_tail)] = 1.0
    return Around(below, above)


def _known(curve: CauseCurve, days: IntArray) -> tuple[IntArray, IntArray]:
    """The days themselves, or both ends of the interval with mass that one lies inside of."""
    if not curve.right.size:
        return days, days
    at = np.minimum(np.searchsorted(curve.right, days), curve.right.size - 1)
    left, right = curve.left[at], curve.right[at]
    inside = (left < days) & (days < right)
    return np.where(inside, left, days), np.where(inside, right, days)


def _weights(fit: Incidence, cause: Cause, days: IntArray, width: float) -> FloatArray:
    """(days, columns): the average over each window of how much of a column's mass has come."""
    grid = fit.grid
    first, last = _columns(grid, cause)
    start, end = _edges(grid, cause)
    when = days[:, None].astype(np.float64)
    half = np.minimum(width, np.minimum(NEAR * when, fit.curve(cause).tail_from - when))
    out = np.zeros((days.size, grid.columns))
    here = np.clip((when - start) / (end - start), 0.0, 1.0)
    far = _come(when + half, start, end) - _come(when - half, start, end)
    wide: BoolArray = np.broadcast_to(half > 0.0, here.shape)
    out[:, first:last] = np.divide(far, 2.0 * half, out=here, where=wide)
    return out


def _come(when: FloatArray, start: IntArray, end: IntArray) -> FloatArray:
    """Integral to `when` of a mass of 1 that comes evenly over (start, end]."""
    inside = np.clip(when, start, end) - start
    come: FloatArray = inside**2 / (2.0 * (end - start)) + np.maximum(when - end, 0.0)
    return come


def _edges(grid: Grid, cause: Cause) -> tuple[IntArray, IntArray]:
    """(start, end) in days of the columns of one cause, in the grid's order."""
    first, last = _columns(grid, cause)
    start, end = grid.start[first:last], grid.end[first:last]
    if cause == Cause.READY:
        return start, end
    return 2 * grid.fold - 1 - end, 2 * grid.fold - 1 - start


def _columns(grid: Grid, cause: Cause) -> tuple[int, int]:
    """The run [first, last) of the columns of one cause."""
    which = np.flatnonzero(grid.is_ready if cause == Cause.READY else grid.is_lost)
    return (int(which[0]), int(which[-1]) + 1) if which.size else (0, 0)
