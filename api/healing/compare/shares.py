"""The difference of F_ready, or F_lost, at one day, in pieces per hundred.

F1 - F2 +- t se, se from cuts left out of both sides at once (`pair`), never below the binomial
sqrt(F1 (1 - F1) / n1 + F2 (1 - F2) / n2), t with Welch's degrees of freedom and at most those of
the union of cuts. The floor is careful where cuts are shared, since what they have in common
cancels; `within` makes use of that. Where F is not identified on the day, the difference reaches
over both bounds, and the interval from under the least to over the most. Where a side's F is 0 or 1
nothing spreads, and its exact binomial limit on n / deff pieces stands in (as in `bands`) by
`mover`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from scipy.special import stdtrit

from api.healing.bands import band_of
from api.healing.compare.mover import Limits, mover
from api.healing.compare.pair import Pair, Side
from api.healing.errors import ShareError
from api.healing.incidence import ROUNDING
from api.healing.rows import Cause, FloatArray

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


class _Share(NamedTuple):
    """A side's F at one bound, what leaving out cuts does to it, and its binomial variance."""

    side: Side
    f: float
    moves: FloatArray
    chance: float

    @property
    def extreme(self) -> bool:
        return not ROUNDING < self.f < 1.0 - ROUNDING

    @property
    def variance(self) -> float:
        return max(float(self.moves @ self.moves), self.chance)


def share_contrast(pair: Pair, cause: Cause, day: int, level: float = 0.95) -> ShareContrast:
    """At the end of `day`; ShareError for a day before 1 or a level outside (0, 1)."""
    if day < 1:
        raise ShareError(f"Groups are compared on day 1 after the cut or later, not on {day}.")
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    one, two = _bounds(pair, pair.one, cause, day), _bounds(pair, pair.two, cause, day)
    least, most = one[0].f - two[1].f, one[1].f - two[0].f
    low = _limits(pair, one[0], two[1], cause, level)[0]
    high = _limits(pair, one[1], two[0], cause, level)[1]
    low, high = max(-1.0, low), min(1.0, high)
    return ShareContrast(*(HUNDRED * x for x in (min(least, most), most, min(low, least), high)))


def _bounds(pair: Pair, side: Side, cause: Cause, day: int) -> list[_Share]:
    here, each = side.at(cause, day)
    return [
        _Share(side, f, pair.moves(side, values), f * (1.0 - f) / side.fit.pieces)
        for f, values in zip(here.tolist(), each.T, strict=True)
    ]


def _limits(
    pair: Pair, one: _Share, two: _Share, cause: Cause, level: float
) -> tuple[float, float]:
    reach = float(stdtrit(pair.freedom(one.variance, two.variance), 0.5 + level / 2.0))
    if one.extreme or two.extreme:
        return mover(_alone(one, cause, reach, level), _alone(two, cause, reach, level))
    both = float(((one.moves - two.moves) ** 2).sum())
    error = np.sqrt(max(both, one.chance + two.chance))
    return one.f - two.f - reach * error, one.f - two.f + reach * error


def _alone(share: _Share, cause: Cause, reach: float, level: float) -> Limits:
    if not share.extreme:
        away = reach * share.variance**0.5
        return Limits(share.f, share.f - away, share.f + away)
    deff = band_of(share.side.fit, cause, share.side.again, level).deff
    exact = ((1.0 - level) / 2.0) ** (deff / share.side.fit.pieces)
    return Limits(0.0, 0.0, 1.0 - exact) if share.f < 0.5 else Limits(1.0, exact, 1.0)
