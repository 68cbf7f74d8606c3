"""Every look at every unit, and what was known at the end of its day, all units in one pass.

A unit's rows are replayed look by look. At the end of day d a row that is not yet known to have
ended has been through the hazard H(min(s, d)), s its last day alive (for an event: `left`); from
the look on that found its end, through what `exposure` says. Both are sums over rows that change
only on looks, so that each is a running sum over a unit's looks and no row is visited twice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows, sums
from api.healing.warn.hazard import UsualOfAll, exposure

AT_ONCE = 512
"""Units worked through together: few enough that their looks fit in a processor's cache."""


@dataclass(frozen=True)
class Looks:
    """The looks at some units, by unit and day. Shapes (looks,), but `begins` (units + 1,), where
    each unit's looks begin. Each unit has a look on day 0, at the cut.

    lost, expected  losses known at the end of the day, and to be expected by then
    through         hazard that pieces have surely come through: that of a lost one to its `left`
    """

    unit: IntArray
    day: IntArray
    begins: IntArray
    lost: FloatArray
    expected: FloatArray
    through: FloatArray

    def running(self, values: FloatArray) -> FloatArray:
        """Sums of `values` (looks, ...) over each unit's looks so far."""
        total = np.cumsum(values, axis=0)
        before = np.concatenate((np.zeros_like(total[:1]), total))[self.begins[:-1]]
        return np.asarray(total - np.repeat(before, np.diff(self.begins), axis=0), np.float64)


def blocks(rows: IntervalRows, unit: IntArray) -> Iterator[tuple[IntervalRows, IntArray]]:
    """Rows and their units, AT_ONCE units at a time; `unit` (rows,) counts from 0."""
    order = np.argsort(unit, kind="stable")
    edges = np.arange(AT_ONCE, int(unit.max(initial=0)) + 1, AT_ONCE)
    for part in np.split(order, np.searchsorted(unit[order], edges)):
        if part.size:
            yield rows.select(part), unit[part]


def looks_of(rows: IntervalRows, unit: IntArray, usual: UsualOfAll) -> tuple[Looks, IntArray]:
    """(the looks, the look that ended each row), the second of shape (rows,).

    `unit` (rows,) are places in `usual`; rows of every unit must be there from start to end.
    """
    width = int(rows.right.max(initial=0)) + 1
    at_left, at_right, start = (unit * width + day for day in (rows.left, rows.right, 0))
    keys = np.unique(np.concatenate((at_left, at_right, start)))
    name, day = keys // width, keys % width
    begins = np.concatenate(([0], np.flatnonzero(np.diff(name)) + 1, [keys.size]))
    none = np.zeros(keys.size)
    bare = Looks(name, day, begins, none, none, none)
    ended = np.searchsorted(keys, at_right)
    return _known(bare, rows, (np.searchsorted(keys, at_left), ended), unit, usual), ended


def _known(
    looks: Looks, rows: IntervalRows, at: tuple[IntArray, IntArray], unit: IntArray,
    usual: UsualOfAll,
) -> Looks:  # fmt: skip
    """The sums of the module's docstring; `at` are the looks on each row's `left` and `right`."""
    size, weight, lost = looks.day.size, rows.weight, rows.cause == Cause.LOST
    left, right = usual.at(unit, rows.left), usual.at(unit, rows.right)
    still = rows.cause == Cause.STILL
    since, come = np.where(still, at[1], at[0]), np.where(still, right, left)
    settled = looks.running(sums(since, weight, size))
    of_unit = np.repeat(settled[looks.begins[1:] - 1], np.diff(looks.begins))
    unsettled = (of_unit - settled) * usual.at(looks.unit, looks.day)
    met = looks.running(sums(since, weight * come, size)) + unsettled
    more = weight * (exposure(rows.cause, left, right) - come)
    return Looks(
        looks.unit, looks.day, looks.begins,
        looks.running(sums(at[1], weight * lost, size)),
        met + looks.running(sums(at[1], more, size)),
        met + looks.running(sums(at[1], more * ~lost, size)),
    )  # fmt: skip
