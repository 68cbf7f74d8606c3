"""The size of the difference between two groups of rows: in pieces per hundred and in days."""

from __future__ import annotations

from dataclasses import dataclass

from api.healing.compare.halves import DayContrast, End, day_contrast
from api.healing.compare.pair import pair_of
from api.healing.compare.shares import ShareContrast, share_contrast
from api.healing.rows import Cause, IntervalRows


@dataclass(frozen=True)
class Contrast:
    """First group less second. `half` None where nothing can be said of its days."""

    day: int
    ready: ShareContrast
    lost: ShareContrast
    half: DayContrast | None


def contrast(
    one: IntervalRows,
    two: IntervalRows,
    day: int,
    *,
    level: float = 0.95,
    ends: tuple[End, End] = (None, None),
    seed: int = 0,
) -> Contrast:
    """Shares ready and lost at the end of `day`, and the day by which half are ready.

    Whether chance alone may have dealt it is `permute`'s question. `ends`: see `day_contrast`; the
    same seed gives the same answer. TooFewCutsError below two cuts on a side, ShareError for a day
    or a level out of range.
    """
    pair = pair_of(one, two, seed)
    return Contrast(
        day,
        share_contrast(pair, Cause.READY, day, level),
        share_contrast(pair, Cause.LOST, day, level),
        day_contrast(pair, Cause.READY, 0.5, level, ends),
    )
