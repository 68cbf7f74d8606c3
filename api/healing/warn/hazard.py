"""How fast pieces are lost that are still healing, by age, as the other units' curves have it.

    hazard(d) = -log(1 - p_d),  p_d = (F_lost(d) - F_lost(d - 1)) / (1 - F_ready(d-1) - F_lost(d-1))
summed from day 1 (Kalbfleisch & Prentice 2002, section 8.2: the cause-specific hazard). A unit's
own losses then follow it times a factor of its own, with mean 1 and variance phi over units.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.incidence import CauseCurve
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows
from api.healing.warn.expected import by_unit, middle, others, others_curves

USUAL_SPREAD, USUAL_UNITS, USUAL_LOSSES = 0.4, 4.0, 1.6
"""What is thought of phi before anything is seen, worth so many units of so many losses; chosen,
and checked by simulation. 0.4: a standard deviation of about six tenths of the usual rate."""
LEAST_SPREAD, MOST_SPREAD = 0.02, 3.0
MOST_IN_A_DAY = 0.5
"""Late in a curve few are left and one loss is nearly all of them; no more is believed."""


@dataclass(frozen=True)
class Usual:
    """What the others say of one unit: `hazard` (days + 1,) summed up to each day, and `spread`,
    the variance of units' factors, widened by what is not known of their mean."""

    hazard: FloatArray
    spread: float


def usual(rows: IntervalRows) -> list[Usual]:
    """For each unit (`cluster`) in the order of names; TooFewCutsError below two units."""
    places = by_unit(rows)
    last = int(rows.right.max(initial=0))
    days = np.array([float(rows.weight[own] @ rows.right[own]) for own in places])
    gone = rows.weight * (rows.cause == Cause.LOST)
    lost = np.array([float(gone[own].sum()) for own in places])
    # Half a loss is spread over all days the others were watched: where they lost none, the first
    # loss is then odd, but not impossible.
    least = 0.5 / np.maximum(days.sum() - days, 1.0)
    hazards, before = [], None
    for own, curves in zip(least, others_curves(rows), strict=True):
        if before is None or curves is not before[0]:
            before = (curves, summed(*curves, last))
        hazards.append(before[1] + own * np.arange(last + 1.0))
    due = np.array([
        float(rows.weight[own] @ exposure(rows.select(own), hazard))
        for own, hazard in zip(places, hazards, strict=True)
    ])  # fmt: skip
    return [Usual(*each) for each in zip(hazards, _spreads(lost, due).tolist(), strict=True)]


def summed(ready: CauseCurve, lost: CauseCurve, last: int) -> FloatArray:
    """The hazard of loss summed to the end of day 0, ..., last, shape (last + 1,)."""
    days = np.arange(last + 1)
    gone = middle(lost, days)
    left = np.maximum(1.0 - middle(ready, days) - gone, 0.0)
    step = np.maximum(np.diff(gone), 0.0)
    chance = np.divide(step, left[:-1], out=np.zeros_like(step), where=left[:-1] > 0.0)
    hazard = -np.log1p(-np.minimum(chance, MOST_IN_A_DAY))
    return np.concatenate(([0.0], np.cumsum(hazard)))


def exposure(rows: IntervalRows, hazard: FloatArray) -> FloatArray:
    """The hazard that one piece of each row has been through, (rows,).

    Of an event somewhere between two looks, half of the hazard between them.
    """
    still = rows.cause == Cause.STILL
    at_left, at_right = hazard[rows.left], hazard[rows.right]
    return np.asarray(np.where(still, at_right, (at_left + at_right) / 2.0), np.float64)


def replayed(rows: IntervalRows, day: int) -> IntervalRows:
    """What was known at the end of `day`: later events are unseen, later looks not made."""
    known = (rows.cause != Cause.STILL) & (rows.right <= day)
    left = np.minimum(rows.left, day)
    seen: IntArray = np.where(rows.cause == Cause.STILL, np.minimum(rows.right, day), left)
    return IntervalRows(
        left, np.where(known, rows.right, seen), np.where(known, rows.cause, Cause.STILL),
        rows.cluster, rows.weight,
    )  # fmt: skip


def _spreads(lost: FloatArray, due: FloatArray) -> FloatArray:
    """Moment estimates from the other units, (units,): Var(O) = E + phi E^2; and what the others'
    own number adds, Var(sum O / sum E)."""
    prior = USUAL_UNITS * USUAL_LOSSES**2
    excess = others((lost - due) ** 2 - due) + USUAL_SPREAD * prior
    spread = np.maximum(excess / (others(due * due) + prior), 0.0)
    unsure = (others(due) + spread * others(due * due)) / np.maximum(others(due), 0.5) ** 2
    return np.asarray(np.clip(spread + unsure, LEAST_SPREAD, MOST_SPREAD), np.float64)
