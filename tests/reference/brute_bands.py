"""Bands the long way: rows made anew without cuts, F averaged by adding up small steps.

Rows are copied piece by piece, intersections are found anew each time, and no fit starts from
another. The window of the average is taken from the rows' own days, the average as a sum over
hundredths of a day, and limits one day at a time with scipy.stats' t.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.stats import t as student

from api.healing.incidence import Incidence, fit_incidence
from api.healing.rows import Cause, IntervalRows

Array = npt.NDArray[np.float64]


def fits_without_each_cut(rows: IntervalRows) -> list[Incidence]:
    return [fit_incidence(rows.select(rows.cluster != cut)) for cut in np.unique(rows.cluster)]


def fit_of_cuts(rows: IntervalRows, cuts: Sequence[int]) -> Incidence:
    """The fit of the named cuts, each as often as it is named."""
    index = np.concatenate([np.flatnonzero(rows.cluster == cut) for cut in cuts])
    return fit_incidence(rows.select(index))


def jackknife_error(fits: Sequence[Incidence], cause: Cause, day: int) -> float | None:
    """Standard error of F at `day`; None where some fit does not identify it."""
    bounds = np.array([fit.curve(cause).cumulative(day) for fit in fits])
    if (bounds[:, 1] - bounds[:, 0]).max() > 1e-9:
        return None
    values = bounds[:, 0]
    return float(np.sqrt((len(fits) - 1) / len(fits) * np.sum((values - values.mean()) ** 2)))


def columns(fit: Incidence, mass: Array, cause: Cause) -> list[tuple[int, int, float]]:
    """(first day less 1, last day, mass) of one cause's columns in the order of days."""
    grid, fold = fit.grid, fit.grid.fold
    found = []
    for start, end, each in zip(grid.start.tolist(), grid.end.tolist(), mass, strict=True):
        if cause == Cause.READY and end < fold:
            found.append((start, end, float(each)))
        if cause == Cause.LOST and start >= fold:
            found.append((2 * fold - 1 - end, 2 * fold - 1 - start, float(each)))
    return sorted(found)


def window(rows: IntervalRows, fit: Incidence, cause: Cause) -> float:
    """Half of a window as uneven as stretches are beyond their columns; nothing below half a day.

    Piece by piece; where nothing is left for after the watching, pieces of the last column are not
    asked.
    """
    excess: list[float] = []
    last = np.inf if fit.grid.is_tail.any() else columns(fit, fit.mass, cause)[-1][1]
    for left, right, which, weight in zip(
        rows.left, rows.right, rows.cause, rows.weight, strict=True
    ):
        if which == cause:
            own = [c for c in columns(fit, fit.mass, cause) if left <= c[0] and c[1] <= right]
            if own[-1][1] == last:
                continue
            whole = sum(mass for *_, mass in own)
            mean = sum((end - start) ** 2 * mass for start, end, mass in own) / whole
            excess += [(own[-1][1] - own[0][0]) ** 2 - mean] * int(weight)
    if not excess:
        return 0.0
    half = max(0.0, sorted(excess)[(len(excess) - 1) // 2]) ** 0.5 / 2.0
    return half if half >= 0.5 else 0.0


def averaged(fit: Incidence, mass: Array, cause: Cause, day: int, half: float) -> float:
    """F's average over day - half, ..., day + half, its masses coming evenly over their columns."""
    half = min(half, day / 4.0, fit.curve(cause).tail_from - day)
    steps = day + max(half, 0.0) * (np.arange(-400, 400) + 0.5) / 400.0
    share = np.zeros(steps.size)
    for start, end, each in columns(fit, mass, cause):
        share += each * np.interp(steps, [start, end], [0.0, 1.0])
    return float(share.mean())


def limits(share: float, reach: float) -> tuple[float, float]:
    """log(-log(1 - F)) plus and minus `reach` by the delta method, and back."""
    eta = np.log(-np.log(1.0 - share))
    half = reach / ((1 - share) * -np.log(1 - share))
    return tuple(float(1.0 - np.exp(-np.exp(eta + sign * half))) for sign in (-1, 1))


def t_of(cuts: int, level: float = 0.95) -> float:
    return float(student.ppf(0.5 + level / 2.0, cuts - 1))


Z = 1.959963984540054


def band_by_days(
    rows: IntervalRows, cause: Cause, masses: Array, level: float
) -> tuple[list[float], list[float]]:
    """Limits on each day to the last on which F changes; `masses` leave out a cut each."""
    fit = fit_incidence(rows)
    half, cuts = window(rows, fit, cause), len(masses)
    end = int(fit.curve(cause).change_days()[-1])
    sides = []
    for place in (0, 1):
        at = [_known(fit, cause, day, place) for day in range(1, end + 1)]
        here = np.array([averaged(fit, fit.mass, cause, day, half) for day in at])
        each = np.array([[averaged(fit, mass, cause, day, half) for day in at] for mass in masses])
        spread = (cuts - 1) / cuts * ((each - each.mean(axis=0)) ** 2).sum(axis=0)
        sides.append((here, spread))
    known = [i for i in range(end) if abs(sides[0][0][i] - sides[1][0][i]) < 1e-9]
    binomial = sum(sides[0][0][i] * (1.0 - sides[0][0][i]) for i in known) / rows.pieces
    deff = max(1.0, sum(sides[0][1][i] for i in known) / binomial)
    exact = ((1.0 - level) / 2.0) ** (deff / rows.pieces)
    out: tuple[list[float], list[float]] = ([], [])
    for place, (none, every) in enumerate(((0.0, exact), (1.0 - exact, 1.0))):
        for day, f, spread in zip(range(1, end + 1), *sides[place], strict=True):
            if min(f, 1.0 - f) < 1e-9:
                limit = none if f < 0.5 else every
            else:
                reach = max(t_of(cuts, level) * spread**0.5,
                            t_of(10**9, level) * (f * (1.0 - f) / rows.pieces) ** 0.5)  # fmt: skip
                limit = limits(f, reach)[place]
            raw = fit.curve(cause).cumulative(day)[place]
            out[place].append(max(limit, raw) if place else min(limit, raw))
    low = [max(out[0][: i + 1]) for i in range(end)]
    return low, [min(out[1][i:]) for i in range(end)]


def by_day(
    rows: IntervalRows, fit: Incidence, mass: Array, cause: Cause, place: int | None = None
) -> Array:
    """The averaged F at the end of day 0, 1, ..., under (0) or over (1) each, else the middle."""
    half, end = window(rows, fit, cause), int(fit.curve(cause).change_days()[-1])
    places = (0, 1) if place is None else (place,)
    days = [[_known(fit, cause, day, at) for at in places] for day in range(1, end + 1)]
    each = [np.mean([averaged(fit, mass, cause, day, half) for day in both]) for both in days]
    return np.array([0.0, *each])


def _known(fit: Incidence, cause: Cause, day: int, place: int) -> int:
    """The day, or the start (0) or the end (1) of the interval with mass that it lies inside of."""
    for start, end, mass in columns(fit, fit.mass, cause):
        if mass > 0.0 and start < day < end:
            return (start, end)[place]
    return min(day, fit.curve(cause).tail_from)
