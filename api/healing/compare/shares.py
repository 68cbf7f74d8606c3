"""The difference of F_ready, or F_lost, at one day, in pieces per hundred.

    F1 - F2  +-  max(t se, z floor), or t se where cuts are shared
F is averaged over the days between looks (`healing.smooth`); se comes from cuts left out of both
sides at once (`pair`), t with Welch's degrees of freedom, at most those of the union of cuts; the
floor is what pieces as such leave open (`spread`). Where F is not identified on the day, the
difference reaches over both bounds, and the interval from under the least to over the most. Where
a side's F is 0 or 1 to within half a piece, what spreads says nothing, and its exact binomial limit
on n / deff pieces stands in (as in `bands`) by `mover`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.bands import Reach, band_of
from api.healing.compare.mover import Limits, mover
from api.healing.compare.pair import Pair
from api.healing.compare.spread import Figure, away, figures, reach
from api.healing.errors import ShareError
from api.healing.rows import Cause

HUNDRED = 100.0


@dataclass(frozen=True)
class ShareContrast:
    """First group less second, in pieces per hundred of all pieces cut.

    `least` and `most` are equal where both curves are known on the day; `low` and `high` are the
    limits of the difference. -100 <= low <= least <= most <= high <= 100.
    """

    least: float
    most: float
    low: float
    high: float


def share_contrast(pair: Pair, cause: Cause, day: int, level: float = 0.95) -> ShareContrast:
    """At the end of `day`; ShareError for a day before 1 or a level outside (0, 1)."""
    if day < 1:
        raise ShareError(f"Groups are compared on day 1 after the cut or later, not on {day}.")
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    (a, b), (c, d) = (side.fit.curve(cause).cumulative(day) for side in (pair.one, pair.two))
    least, most = min(a - d, b - c), b - c
    one, two = figures(pair, pair.one, cause, day), figures(pair, pair.two, cause, day)
    low = _limits(pair, one[0], two[1], cause, level)[0]
    high = _limits(pair, one[1], two[0], cause, level)[1]
    low, high = max(-1.0, min(low, least)), min(1.0, max(high, most))
    return ShareContrast(*(HUNDRED * x for x in (least, most, low, high)))


def _limits(
    pair: Pair, one: Figure, two: Figure, cause: Cause, level: float
) -> tuple[float, float]:
    if one.extreme or two.extreme:
        each = reach(pair, one, two, level)
        return mover(_alone(one, cause, each, level), _alone(two, cause, each, level))
    far = away(pair, one, two, cause, level)
    return one.f - two.f - far, one.f - two.f + far


def _alone(one: Figure, cause: Cause, each: Reach, level: float) -> Limits:
    if not one.extreme:
        far = float(each.over(np.array(one.between), np.array(one.chance)))
        return Limits(one.f, one.f - far, one.f + far)
    side = one.side
    exact = ((1.0 - level) / 2.0) ** (band_of(side.fit, cause, side.again).deff / side.fit.pieces)
    if one.f < 0.5:
        return Limits(one.f, 0.0, max(one.f, 1.0 - exact))
    return Limits(one.f, min(one.f, exact), 1.0)
