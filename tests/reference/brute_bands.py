"""Cuts left out or drawn again the long way: make the rows anew and fit them from nothing.

Rows are copied piece by piece, intersections are found anew each time, and no fit starts from
another; the band is written out for one day with scipy.stats' t.
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


def limits(share: float, error: float, cuts: int, level: float = 0.95) -> tuple[float, float]:
    """log(-log(1 - F)) plus and minus t times its delta-method standard error, and back."""
    eta = np.log(-np.log(1.0 - share))
    half = student.ppf(0.5 + level / 2.0, cuts - 1) * error / ((1 - share) * -np.log(1 - share))
    return tuple(float(1.0 - np.exp(-np.exp(eta + sign * half))) for sign in (-1, 1))
