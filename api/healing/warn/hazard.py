"""How fast pieces are lost that are still healing, by age, as the other units' curves have it.

    hazard(d) = -log(1 - p_d),  p_d = (F_lost(d) - F_lost(d - 1)) / (1 - F_ready(d-1) - F_lost(d-1))
summed from day 1 (Kalbfleisch & Prentice 2002, section 8.2: the cause-specific hazard). A unit's
own losses then follow it times a factor of its own, with mean 1 and variance phi over units.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from api.healing.incidence import CauseCurve
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums
from api.healing.warn.expected import OthersCurves, middle, others, others_curves

USUAL_SPREAD, USUAL_UNITS, USUAL_LOSSES = 0.4, 4.0, 1.6
"""What is thought of phi before anything is seen, worth so many units of so many losses; chosen,
and checked by simulation. 0.4: a standard deviation of about six tenths of the usual rate."""
LEAST_SPREAD, MOST_SPREAD = 0.02, 3.0
SPREAD_STEP = 0.001
"""Spreads are rounded to steps of a thousandth of themselves, far finer than they are known: units
of a large farm, each without itself, then share most of them, and what is worked out of them."""
MOST_IN_A_DAY = 0.5
"""Late in a curve few are left and one loss is nearly all of them; no more is believed."""


@dataclass(frozen=True)
class Usual:
    """What the others say of one unit: `hazard` (days + 1,) summed up to each day, and `spread`,
    the variance of units' factors, widened by what is not known of their mean."""

    hazard: FloatArray
    spread: float


@dataclass(frozen=True)
class UsualOfAll:
    """The same of every unit in the order of names, without writing one hazard out many times.

    Unit u's hazard summed to day d is summed[of[u], d] + least[u] d. Shapes: `summed` (curves,
    days + 1), the others (units,).
    """

    summed: FloatArray
    of: IntArray
    least: FloatArray
    spread: FloatArray

    @classmethod
    def one(cls, unit: Usual) -> UsualOfAll:
        """Of a single unit."""
        none = np.zeros(1)
        return cls(unit.hazard[None], np.zeros(1, np.int64), none, np.array([unit.spread]))

    def at(self, unit: IntArray, day: IntArray) -> FloatArray:
        """The hazard of these units summed to these days, of one shape."""
        return np.asarray(self.summed[self.of[unit], day] + self.least[unit] * day, np.float64)


def usual(rows: IntervalRows, found: OthersCurves | None = None) -> UsualOfAll:
    """For each unit (`cluster`); TooFewCutsError below two. `found`: `others_curves(rows)`."""
    curves = others_curves(rows) if found is None else found
    names, unit = np.unique(rows.cluster, return_inverse=True)
    last = int(rows.right.max(initial=0))
    days = sums(unit, rows.weight * rows.right, names.size)
    lost = sums(unit, rows.weight * (rows.cause == Cause.LOST), names.size)
    # Half a loss is spread over all days the others were watched: where they lost none, the first
    # loss is then odd, but not impossible.
    least = 0.5 / np.maximum(others(days), 1.0)
    each = np.array([summed(ready, gone, last) for ready, gone in curves.curves])
    known = UsualOfAll(each, curves.of, least, np.zeros(names.size))
    met = exposure(rows.cause, known.at(unit, rows.left), known.at(unit, rows.right))
    due = sums(unit, rows.weight * met, names.size)
    return replace(known, spread=_spreads(lost, due))


def summed(ready: CauseCurve, lost: CauseCurve, last: int) -> FloatArray:
    """The hazard of loss summed to the end of day 0, ..., last, shape (last + 1,)."""
    days = np.arange(last + 1)
    gone = middle(lost, days)
    left = np.maximum(1.0 - middle(ready, days) - gone, 0.0)
    step = np.maximum(np.diff(gone), 0.0)
    chance = np.divide(step, left[:-1], out=np.zeros_like(step), where=left[:-1] > 0.0)
    hazard = -np.log1p(-np.minimum(chance, MOST_IN_A_DAY))
    return np.concatenate(([0.0], np.cumsum(hazard)))


def exposure(cause: IntArray, at_left: FloatArray, at_right: FloatArray) -> FloatArray:
    """The hazard that one piece of each row has been through, (rows,), from the hazard summed to
    its `left` and `right`.

    Of an event somewhere between two looks, half of the hazard between them.
    """
    return np.asarray(
        np.where(cause == Cause.STILL, at_right, (at_left + at_right) / 2.0), np.float64
    )


def _spreads(lost: FloatArray, due: FloatArray) -> FloatArray:
    """Moment estimates from the other units, (units,): Var(O) = E + phi E^2; and what the others'
    own number adds, Var(sum O / sum E)."""
    prior = USUAL_UNITS * USUAL_LOSSES**2
    excess = others((lost - due) ** 2 - due) + USUAL_SPREAD * prior
    spread = np.maximum(excess / (others(due * due) + prior), 0.0)
    unsure = (others(due) + spread * others(due * due)) / np.maximum(others(due), 0.5) ** 2
    found = np.clip(spread + unsure, LEAST_SPREAD, MOST_SPREAD)
    return np.asarray(np.exp(SPREAD_STEP * np.rint(np.log(found) / SPREAD_STEP)), np.float64)
