"""How sure a healing curve is: an interval for F at each day, and for the day of a share.

At each day t, on the complementary log-log scale,
    log(-log(1 - F~(t)))  +-  reach / ((1 - F~) (-log(1 - F~)))
    reach = max(t_(S-1) se(t), z sqrt(F~ (1 - F~) / n))
F~ is F averaged over the days between looks (`smooth`), se comes from cuts left out (S <= 30),
drawn again (S <= 200) or, above, from their influence; t is the quantile with S - 1 degrees of
freedom. What pieces as such leave open is a floor; it is known and not learnt from S cuts, so it
takes the normal quantile. Where F is not identified the band reaches from the limit under the start
of the interval to that over its end.
Where F~ is 0 or 1 the scale has no value, and the exact binomial limit on n / deff pieces stands
in, deff being the band's own ratio of the two variances. F never falls, so that no lower limit is
under an earlier one and no upper over a later one, and the band takes in F itself. The interval of
a day inverts the band (Brookmeyer & Crowley 1982, Biometrics 38:29).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import ndtri, stdtrit

from api.healing.errors import ShareError
from api.healing.incidence import ROUNDING, Incidence
from api.healing.influence import influence
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows
from api.healing.smooth import around, days_of, half_width

JACKKNIFE_UP_TO = 30
DRAWN_UP_TO = 200


@dataclass(frozen=True)
class DayRange:
    """Whole days low, ..., high. `high` None: not reached, to be said as 'at least day low'."""

    low: int
    high: int | None


@dataclass(frozen=True)
class Band:
    """Limits `low` <= `lower` <= `upper` <= `high` of F, all (days,), in steps from each day.

    `se_lower` and `se_upper` are standard errors between cuts of F~ under and over each day, on the
    scale of F; `deff` is at least 1; `cuts` is S; `method` is 'jackknife', 'bootstrap' or
    'influence'. `days` are those from which F or F~ may change.
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


class Reach(NamedTuple):
    """How many standard errors the limits lie away: of the error learnt from cuts, and of that
    which pieces have in any case."""

    learnt: float
    known: float

    @classmethod
    def of(cls, cuts: int, level: float) -> Reach:
        """The quantiles of t with `cuts` - 1 degrees of freedom and of the normal."""
        tail = 0.5 + level / 2.0
        return cls(float(stdtrit(cuts - 1, tail)), float(ndtri(tail)))

    def over(self, between: FloatArray, chance: FloatArray) -> FloatArray:
        """How far limits reach, from the variance between cuts and that of pieces as such."""
        return np.maximum(self.learnt * np.sqrt(between), self.known * np.sqrt(chance))


def replicates_of(rows: IntervalRows, fit: Incidence, seed: int = 0) -> Replicates:
    """Cuts left out one at a time up to 30 cuts, 200 seeded draws of cuts up to 200, and above
    that what such draws come to."""
    cuts = rows.cuts
    if cuts <= JACKKNIFE_UP_TO:
        return leave_one_out(rows, fit)
    return drawn_again(rows, fit, seed) if cuts <= DRAWN_UP_TO else influence(rows, fit)


def band_of(fit: Incidence, cause: Cause, again: Replicates, level: float = 0.95) -> Band:
    """The band of one cause's curve from the replicates of its fit; ShareError for the level."""
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    width = half_width(fit, cause)
    days = days_of(fit, cause, width)
    lower, upper = fit.curve(cause).bounds(days)
    sides = around(fit, cause, days, width)
    below, above = (np.minimum(weights @ fit.mass, 1.0) for weights in sides)
    raw_below, raw_above = (again.variance(again.mass @ weights.T) for weights in sides)
    chance_below, chance_above = (f * (1.0 - f) / fit.pieces for f in (below, above))
    deff = _deff(raw_below, chance_below, above - below <= ROUNDING)
    reach = Reach.of(again.cuts, level)
    exact = ((1.0 - level) / 2.0) ** (deff / fit.pieces)
    low = _limit(below, -reach.over(raw_below, chance_below), 0.0, exact)
    high = _limit(above, reach.over(raw_above, chance_above), 1.0 - exact, 1.0)
    low = np.maximum.accumulate(np.minimum(low, lower))
    high = np.minimum.accumulate(np.maximum(high, upper)[::-1])[::-1]
    return Band(days, lower, upper, low, high, np.sqrt(raw_below), np.sqrt(raw_above),
                deff, again.cuts, again.method, level)  # fmt: skip


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
