"""A second, deliberately different estimate of both causes: no folding, no intersections.

Every whole day of each cause is a column of a dense 0/1 table filled piece by piece, and one
more column stands for 'after all days'. Self-consistency (Efron 1967) runs from equal masses
until its own bound on the missing log-likelihood is small. Slow, and simple enough to read off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.incidence import Incidence
from api.healing.rows import Cause, IntervalRows

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Dense:
    """`table` (rows, 2 days + 1): ready on day 1, 2, ..., lost on day 1, 2, ..., neither."""

    table: Array
    weight: Array
    days: int

    def gap(self, mass: Array) -> float:
        """max g / N - 1 over every day of both causes, not only where mass may sit."""
        slope = self.table.T @ (self.weight / (self.table @ mass))
        return float(slope.max() / self.weight.sum() - 1.0)

    def loglik(self, mass: Array) -> float:
        return float(self.weight @ np.log(self.table @ mass))

    def cumulative(self, mass: Array, cause: Cause) -> Array:
        """F at the end of day 0, 1, ..., days."""
        block = mass[: self.days] if cause == Cause.READY else mass[self.days : -1]
        return np.concatenate(([0.0], np.cumsum(block)))


def dense(rows: IntervalRows) -> Dense:
    days = max(int(rows.right.max()), int(rows.left.max())) + 1
    table = np.zeros((rows.left.size, 2 * days + 1))
    for i, (left, right, cause) in enumerate(zip(rows.left, rows.right, rows.cause, strict=True)):
        for day in range(1, days + 1):
            ready, lost = day - 1, days + day - 1
            if cause == Cause.STILL:
                table[i, ready], table[i, lost] = day > left, day > right
            else:
                table[i, ready if cause == Cause.READY else lost] = left < day <= right
        table[i, -1] = cause == Cause.STILL
    return Dense(table, rows.weight.astype(float), days)


def self_consistent(problem: Dense, gap: float = 1e-6, steps: int = 20_000) -> Array:
    """Masses after at most `steps` steps, or once `gap` is reached."""
    mass = np.full(problem.table.shape[1], 1.0 / problem.table.shape[1])
    total = problem.weight.sum()
    for _ in range(steps):
        slope = problem.table.T @ (problem.weight / (problem.table @ mass)) / total
        if slope.max() - 1.0 <= gap:
            break
        mass = mass * slope
    return mass


def spread_on_days(fit: Incidence, problem: Dense) -> Array:
    """The masses of a fit put on the last day of their intervals, and its tail on 'neither'."""
    mass = np.zeros(2 * problem.days + 1)
    mass[fit.ready.right - 1] = fit.ready.mass
    mass[problem.days + fit.lost.right - 1] = fit.lost.mass
    mass[-1] = fit.tail_mass
    return mass
