"""How sure a healing curve is: an interval for F at each day, and for the day of a share.

At each day t on which the curve changes, on the complementary log-log scale
    log(-log(1 - F(t)))  +-  t_(S-1) se(t) / ((1 - F) (-log(1 - F)))
with se(t) from cuts left out (S <= 30) or drawn again, never below the binomial
sqrt(F (1 - F) / n), and the t quantile with S - 1 degrees of freedom. Where F is not identified
the band reaches from the limit under `lower` to the limit over `upper`. Where F is 0 or 1 the
scale has no value, and the exact binomial limit on n / deff pieces stands in, deff being the
band's own ratio of the two variances. The interval of a day inverts the band
(Brookmeyer & Crowley 1982, Biometrics 38:29).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from api.healing.errors import ShareError
from api.healing.incidence import ROUNDING, CauseCurve, Incidence, curves
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows

JACKKNIFE_UP_TO = 30


@dataclass(frozen=True)
class DayRange:
    """Whole days low, ..., high. `high` None: not reached, to be said as 'at least day low'."""

    low: int
    high: int | None


@dataclass(frozen=True)
class Band:
    """Limits `low` <= `lower` <= `upper` <= `high` of F, all (days,), in steps from each day.

    `se_lower` and `se_upper` are standard errors on the scale of F, floored as above; `deff` is
    at least 1; `cuts` is S; `method` is 'jackknife' or 'bootstrap'.
    """

    days: IntArray
    lower: FloatArray
    upper: FloatArray
    low: FloatArray
    high: FloatArray
    se_lower: FloatArray
    se_upper: FloatArray
    deff: float
    cuts: int
    method: str
    level: float

    def quantile(self, share: float) -> DayRange | None:
        """Days on which F may first reach `share`; None if it reaches it on none of them.

        From the first day whose upper limit, to the first whose lower limit is at `share`.
        """
        if not 0.0 < share < 1.0:
            raise ShareError(f"A share of pieces lies between 0 and 1, not at {share}.")
        possible, certain = self.high >= share - ROUNDING, self.low >= share - ROUNDING
        if not possible.any():
            return None
        first = int(self.days[np.argmax(possible)])
        return DayRange(first, int(self.days[np.argmax(certain)]) if certain.any() else None)

    def at(self, day: int) -> tuple[float, float]:
        """(low, high) at the end of `day`; (0, 0) on day 0, when every piece is just cut."""
        index = int(np.searchsorted(self.days, day, side="right")) - 1
        if index < 0:
            return 0.0, 0.0
        return float(self.low[index]), float(self.high[index])


def replicates_of(rows: IntervalRows, fit: Incidence, seed: int = 0) -> Replicates:
    """Cuts left out one at a time up to 30 cuts, 200 seeded draws of cuts above."""
    if rows.cuts <= JACKKNIFE_UP_TO:
        return leave_one_out(rows, fit)
    return drawn_again(rows, fit, seed)


def band_of(fit: Incidence, cause: Cause, again: Replicates, level: float = 0.95) -> Band:
    """The band of one cause's curve from the replicates of its fit; ShareError for the level."""
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    days = _days(fit.curve(cause))
    lower, upper = fit.curve(cause).bounds(days)
    values = np.array([_curve(fit, mass, cause).bounds(days) for mass in again.mass])
    raw_lower, raw_upper = again.variance(values[:, 0]), again.variance(values[:, 1])
    chance_lower, chance_upper = (f * (1.0 - f) / fit.pieces for f in (lower, upper))
    deff = _deff(raw_lower, chance_lower, upper - lower <= ROUNDING)
    se_lower = np.sqrt(np.maximum(raw_lower, chance_lower))
    se_upper = np.sqrt(np.maximum(raw_upper, chance_upper))
    reach = float(stdtrit(again.cuts - 1, 0.5 + level / 2.0))
    exact = ((1.0 - level) / 2.0) ** (deff / fit.pieces)
    low = np.maximum.accumulate(_limit(lower, -reach * se_lower, 0.0, exact))
    high = np.maximum.accumulate(_limit(upper, reach * se_upper, 1.0 - exact, 1.0))
    return Band(
        days, lower, upper, low, high, se_lower, se_upper, deff, again.cuts, again.method, level
    )


def _deff(raw: FloatArray, chance: FloatArray, known: BoolArray) -> float:
    """Variance between cuts over the binomial one, over all days on which F is identified."""
    binomial = float(chance[known].sum())
    return max(1.0, float(raw[known].sum()) / binomial) if binomial > 0.0 else 1.0


def _limit(f: FloatArray, reach: FloatArray, at_zero: float, at_one: float) -> FloatArray:
    """F moved by `reach` on the complementary log-log scale, by the delta method."""
    out = np.where(f < 0.5, at_zero, at_one)
    inner = (f > ROUNDING) & (f < 1.0 - ROUNDING)
    log_alive = np.log1p(-f[inner])
    shift = reach[inner] / ((1.0 - f[inner]) * -log_alive)
    # exp overflows beyond about 709; a limit of exactly 0 or 1 is reached long before.
    out[inner] = -np.expm1(log_alive * np.exp(np.clip(shift, -700.0, 700.0)))
    return out


def _days(curve: CauseCurve) -> IntArray:
    days = np.unique(np.concatenate(([1], curve.change_days())))
    return days[days >= 1].astype(np.int64)


def _curve(fit: Incidence, mass: FloatArray, cause: Cause) -> CauseCurve:
    return curves(fit.grid, mass)[int(cause)]
