"""How many losses were to be expected of each unit, as far as it has been watched.

A young cut has had less time to lose pieces. A piece that was watched through day t is expected to
be lost by then with F_lost(t) of the other units' curve; a unit's expected losses are the sum.
`t` is how far a piece would have been watched whatever became of it: for a piece that is still
there its own last day seen alive, for one that was lost or became ready the last day its unit was
seen. Taking a lost piece's own last day alive instead would expect less of just the units that
lose early, and call too many of them odd.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.errors import TooFewCutsError
from api.healing.incidence import CauseCurve, curves, fit_incidence
from api.healing.resample import leave_one_out
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums

LEFT_OUT_UP_TO = 200
"""Up to so many units each is compared with the others alone; beyond, its own part is too small
to hide it, and the curve of all is taken."""


@dataclass(frozen=True)
class Expected:
    """Per unit: names as in the rows' `cluster`, pieces, losses, and expected losses. (units,)"""

    units: IntArray
    pieces: FloatArray
    lost: FloatArray
    expected: FloatArray

    @property
    def means(self) -> FloatArray:
        """The share expected of each unit."""
        return self.expected / self.pieces


@dataclass(frozen=True)
class OthersCurves:
    """(ready, lost) of the rows without a unit: `of` names each unit's in `curves`, in the order
    of the units' names. (units,) One pair for all where there are more than LEFT_OUT_UP_TO."""

    curves: list[tuple[CauseCurve, CauseCurve]]
    of: IntArray


def watched(rows: IntervalRows) -> IntArray:
    """The day through which each row's pieces would have been watched, shape (rows,)."""
    return np.where(rows.cause == Cause.STILL, rows.right, rows.last_seen())


def expected_losses(
    rows: IntervalRows, through: IntArray | None = None, usual: OthersCurves | None = None
) -> Expected:
    """For rows whose `cluster` is the unit; TooFewCutsError below two units.

    `through`, (rows,), is `t`; without it `watched(rows)`, which is right where pieces of a unit
    have one age. For trays with pieces of several cuts give `watched` of the rows by cut. `usual`
    are `others_curves(rows)`, where they are known already.
    """
    units, unit = np.unique(rows.cluster, return_inverse=True)
    day = watched(rows) if through is None else through
    share = np.zeros(day.size)
    found = others_curves(rows) if usual is None else usual
    alone = len(found.curves) == 1
    for mine, (_, lost) in zip(
        [np.arange(day.size)] if alone else by_unit(rows), found.curves, strict=True
    ):
        share[mine] = middle(lost, day[mine])
    size = units.size
    return Expected(
        units,
        sums(unit, rows.weight, size),
        sums(unit, rows.weight * (rows.cause == Cause.LOST), size),
        sums(unit, rows.weight * share, size),
    )


def by_unit(rows: IntervalRows) -> list[IntArray]:
    """The places of each unit's rows, in the order of the units' names."""
    _, unit = np.unique(rows.cluster, return_inverse=True)
    order = np.argsort(unit, kind="stable").astype(np.int64)
    return np.split(order, np.flatnonzero(np.diff(unit[order])) + 1) if order.size else []


def others_curves(rows: IntervalRows) -> OthersCurves:
    """The curves that each unit is compared with; TooFewCutsError below two units.

    NotSettledError where they cannot be worked out to their promised accuracy.
    """
    units = rows.cuts
    if units < 2:
        raise TooFewCutsError("One unit alone has no others that it could be compared with.")
    fit = fit_incidence(rows)
    if units > LEFT_OUT_UP_TO:
        return OthersCurves([(fit.ready, fit.lost)], np.zeros(units, np.int64))
    left_out = leave_one_out(rows, fit).mass
    return OthersCurves([curves(fit.grid, mass) for mass in left_out], np.arange(units))


def others(values: FloatArray) -> FloatArray:
    """Of each unit, the sum of the other units' `values`; shape (units,)."""
    return np.asarray(values.sum() - values, np.float64)


def middle(curve: CauseCurve, days: IntArray) -> FloatArray:
    """F at the end of `days`; where looks leave it open, the middle of what it may be."""
    lower, upper = curve.bounds(np.minimum(days, curve.tail_from))
    return (lower + upper) / 2.0
