"""The difference of the days by which half of the pieces are ready, in days.

Each side's day is a range (its curve's interval) inside a range (its band inverted); the limits of
the difference are recovered from them by `mover`, from under the least to over the most difference,
each side's at the t quantile of a difference, since two sides together know more than the smaller.
Medians of sides that share cuts go together as their curves do at those days, since a median moves
by -dF / F' (Bahadur 1966, Ann Math Stat 37:577).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import NamedTuple

from scipy.special import stdtr, stdtrit

from api.healing.bands import band_of
from api.healing.compare.mover import Limits, mover
from api.healing.compare.pair import Pair, Side
from api.healing.errors import ShareError
from api.healing.rows import Cause

End = int | None


@dataclass(frozen=True)
class DayContrast:
    """First group's day less the second's, whole days: negative where the first is earlier.

    least, most  the difference as far as looks allow; None where a side does not get there
    low, high    its limits, rounded outwards; None where there is none: with `low` alone it is
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
    if None in (one.first, two.first):
        return None if low is None and high is None else DayContrast(None, None, low, high)
    return DayContrast(_less(one.first, two.last), _less(one.last, two.first), low, high)


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


def _less(one: int | None, two: int | None) -> int | None:
    return None if one is None or two is None else one - two
