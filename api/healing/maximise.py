"""The masses that maximise the likelihood: self-consistency first, then Newton.

Maximising l(p) under p >= 0 and sum p = 1 is maximising l(p) - N sum p under p >= 0 alone, since
the best scale of any p is sum p = 1 (N is the total weight). By concavity
    l(best) - l(p) <= N (max_j g_j / N - 1),
so the `gap` in the brackets bounds what is still missing (Lindsay 1983, Ann Stat 11:86;
Boehning 1986). Newton with the sign constraint kept in each step's quadratic programme:
Wang 2008, Comput Stat Data Anal 52:2388.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.active import nonnegative_minimum
from api.healing.errors import NotSettledError
from api.healing.likelihood import (
    Runs,
    curvature,
    expectation_step,
    gradient,
    log_likelihood,
    probabilities,
)
from api.healing.rows import FloatArray

GAP = 1e-8
NEWTON_LIMIT = 200
# Keeps the quadratic programme definite in floating point when rows differ hugely in weight; it
# pulls towards the present masses, so the maximum itself is not moved.
PULL = 1e-11


@dataclass(frozen=True)
class Maximum:
    """`mass` (columns,) sums to 1; `gap` as above; `steps` counts Newton steps."""

    mass: FloatArray
    loglik: float
    gap: float
    steps: int


def maximise(
    runs: Runs, start: FloatArray | None = None, em_steps: int = 30, gap: float = GAP
) -> Maximum:
    """The maximum over masses on `runs.columns` columns; NotSettledError if `gap` is not reached.

    `start` (columns,) must give every row a positive probability; without it all masses are equal.
    """
    total = runs.total
    mass = np.full(runs.columns, 1.0 / runs.columns) if start is None else start / start.sum()
    if total == 0.0:
        return Maximum(mass, 0.0, 0.0, 0)
    for _ in range(em_steps):
        mass = expectation_step(mass, runs, total)
    for step in range(NEWTON_LIMIT + 1):
        chance = probabilities(mass, runs)
        slope = gradient(chance, runs)
        missing = max(float(slope.max()) / total - 1.0, 0.0)
        if missing <= gap:
            return Maximum(mass, log_likelihood(chance, runs), missing, step)
        mass = _newton_step(mass, chance, slope, runs, total)
    raise NotSettledError(
        f"The healing curve was not found to the promised accuracy in {NEWTON_LIMIT} steps "
        f"(still {missing:.1e} away, {gap:.1e} promised). No curve is given."
    )


def _newton_step(
    mass: FloatArray, chance: FloatArray, slope: FloatArray, runs: Runs, total: float
) -> FloatArray:
    hessian = curvature(chance, runs)
    pull = PULL * np.diagonal(hessian)
    hessian[np.diag_indices_from(hessian)] += pull
    linear = 2.0 * slope - total + pull * mass  # H p = g, since sum_k A_ik p_k = P_i
    free = (mass > 1e-3 / mass.size) | (slope > total)
    aim = nonnegative_minimum(hessian, linear, free)
    return _line_search(mass, aim - mass, chance, float((slope - total) @ (aim - mass)), runs)


def _line_search(
    mass: FloatArray, move: FloatArray, chance: FloatArray, rise: float, runs: Runs
) -> FloatArray:
    """Halve until l(p) - N sum p rises by a fair share of what the slope promises (Armijo)."""
    total = runs.total
    here = log_likelihood(chance, runs)
    noise = 1e-13 * (abs(here) + total)
    length = 1.0
    drift = float(move.sum())
    while length > 1e-12:
        there = mass + length * move
        gained = log_likelihood(probabilities(there, runs), runs) - here - total * length * drift
        if gained >= 1e-4 * length * rise - noise:
            scaled: FloatArray = there / there.sum()
            return scaled
        length /= 2.0
    return expectation_step(mass, runs, total)
