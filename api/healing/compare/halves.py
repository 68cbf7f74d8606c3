"""The difference of the days by which half of the pieces are ready, in days.

A day at which F reaches a share moves by -dF / F' (Bahadur 1966, Ann Math Stat 37:577), so that
    day1 - day2  +-  max(t se, z floor), or t se where cuts are shared,
is the interval of a difference of shares (`shares`) in days, with F averaged over the days between
looks (`healing.smooth`) and F' its mean rise within one standard error of F about the share. Where
a curve does not rise so far within what was watched, limits come of each side's range of days (its
band inverted) by `mover`, from under the least to over the most difference; sides that share cuts
go together there as their curves do at those days.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import NamedTuple

import numpy as np
from scipy.special import stdtr, stdtrit

from api.healing.bands import band_of
from api.healing.compare.mover import Limits, mover
from api.healing.compare.pair import Pair, Side
from api.healing.compare.spread import Figure, away, figure
from api.healing.errors import ShareError
from api.healing.rows import Cause, FloatArray
from api.healing.smooth import around, half_width

End = int | None


@dataclass(frozen=True)
class DayContrast:
    """First group's day less the second's, whole days: negative where the first is earlier.

    least, most  the difference as far as looks allow; None where a side does not get there
    low, high    its limits, to the nearest day; None where there is none: with `low` alone it is
                 'at least low days later', with `high` alone 'at most high days later'
    """

    least: int | None
    most: int | None
    low: int | None
    high: int | None


class _Half(NamedTuple):
    """Days first, ..., last on which a side gets there, and its limits; None: not reached."""

    first: int | None
    last: int | None
    low: int | None
    high: int | None


def day_contrast(
    pair: Pair,
    cause: Cause = Cause.READY,
    share: float = 0.5,
    level: float = 0.95,
    ends: tuple[End, End] = (None, None),
) -> DayContrast | None:
    """The difference of the days on which F reaches `share`; None where nothing can be said.

    `ends`: the last day to which each side's curve is trusted (`estimate.stop_day` less 1); a day
    beyond it counts as not reached. ShareError for shares or levels outside (0, 1).
    """
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    alike, reach = _together(pair, cause, share, level)
    one = _half(pair.one, cause, share, reach, ends[0])
    two = _half(pair.two, cause, share, reach, ends[1])
    low = _at_least(one, two, alike)
    other = _at_least(two, one, alike)
    high = None if other is None else -other
    if one.first is None or one.last is None or two.first is None or two.last is None:
        return None if low is None and high is None else DayContrast(None, None, low, high)
    least, most = one.first - two.last, one.last - two.first
    near = _near(pair, cause, share, level, ends)
    if near is not None:
        low = None if low is None else min(near[0], least)
        high = None if high is None else max(near[1], most)
    return DayContrast(least, most, low, high)


def _near(
    pair: Pair, cause: Cause, share: float, level: float, ends: tuple[End, End]
) -> tuple[int, int] | None:
    """Limits from how F moves at the day; None where F does not rise far enough about it."""
    one, two = (
        _reaching(pair, side, cause, share, end)
        for side, end in zip((pair.one, pair.two), ends, strict=True)
    )
    if one is None or two is None:
        return None
    far = away(pair, one[1], two[1], cause, level)
    middle = one[0] - two[0]
    return round(middle - far), round(middle + far)


def _reaching(
    pair: Pair, side: Side, cause: Cause, share: float, end: End
) -> tuple[float, Figure] | None:
    """The day on which a side's averaged F reaches `share`, and the figure in days."""
    curve = side.fit.curve(cause)
    last = int(curve.change_days()[-1])
    days = np.arange(1, (last if end is None else min(last, end)) + 1)
    if not days.size:
        return None
    weights = np.mean(around(side.fit, cause, days, half_width(side.fit, cause)), axis=0)
    rise = np.maximum.accumulate(np.concatenate(([0.0], weights @ side.fit.mass)))
    day = _first(rise, share)
    if day is None:
        return None
    here = figure(pair, side, weights[max(round(day), 1) - 1])._replace(f=share)
    error = max(here.between, here.chance) ** 0.5
    start, stop = _first(rise, share - error), _first(rise, share + error)
    if start is None or stop is None:
        return None
    per = (stop - start) / (2.0 * error)
    return day, here._replace(moves=here.moves * per, per=per)


def _first(rise: FloatArray, share: float) -> float | None:
    """When F, even between the days 0, 1, ..., first reaches `share`; None where never."""
    if not 0.0 < share <= rise[-1]:
        return None
    at = int(np.argmax(rise >= share))
    return at - 1 + float((share - rise[at - 1]) / (rise[at] - rise[at - 1]))


def _half(side: Side, cause: Cause, share: float, reach: float, end: End) -> _Half:
    """`reach`: the t quantile; the side's own band at the level at which it takes that one."""
    level = 2.0 * float(stdtr(side.again.cuts - 1, reach)) - 1.0
    band = band_of(side.fit, cause, side.again, level)
    found, limits = side.fit.curve(cause).quantile(share), band.quantile(share)
    last = int(band.days[-1]) if end is None else end
    low, high = (limits.low, limits.high) if limits is not None else (None, None)
    if limits is None and side.fit.tail_mass > 0.0:
        # Not even the upper limit gets there within what was watched: later than that, if ever.
        low = last + 1
    low = None if low is None else min(low, last + 1)
    high = None if high is None or high > last else high
    if found is None or found[1] > last:
        return _Half(None, None, low, high)
    return _Half(found[0] + 1, found[1], low, high)


def _at_least(one: _Half, two: _Half, alike: float) -> int | None:
    """The lower limit of one - two; it needs the first's lower and the second's upper limit."""
    if one.low is None or two.high is None:
        return None
    if one.first is None or two.last is None:
        # No estimate to reach from: both limits at once, which holds at least as often.
        return one.low - two.high
    first = Limits(one.first, min(one.low, one.first), one.first)
    second = Limits(two.last, two.last, max(two.high, two.last))
    return floor(mover(first, second, alike)[0] + 1e-9)


def _together(pair: Pair, cause: Cause, share: float, level: float) -> tuple[float, float]:
    """How both curves go together at the days they reach `share`: (correlation, t quantile).

    The correlation comes through shared cuts alone, and is 0 without; the quantile is that of the
    difference of the two (`Pair.freedom`). Where a side gets nowhere, of its last day.
    """
    moves = []
    for side in (pair.one, pair.two):
        found = side.fit.curve(cause).quantile(share)
        day = found[1] if found is not None else side.fit.ready.tail_from
        moves.append(pair.moves(side, side.at(cause, day)[1][:, 0]))
    a, b, c = (float(x @ y) for x, y in ((moves[0],) * 2, (moves[1],) * 2, moves))
    reach = float(stdtrit(pair.freedom(a, b), 0.5 + level / 2.0))
    return (c / (a * b) ** 0.5 if a * b > 0.0 else 0.0), reach
