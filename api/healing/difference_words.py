"""A difference and its limits in words, whole days and whole pieces of a hundred. Pure.

Rounded and worded as the tables are: '24 to 25 days earlier (95 %: 57 days earlier to 2 days
later)'.
"""

from math import floor
from typing import NamedTuple

from api.healing.comparison_shapes import Diff, Sizes


class Words(NamedTuple):
    """What is said of a difference below 0, of one above, and of none; and its unit."""

    less: str
    more: str
    same: str
    one: str = ""
    many: str = ""


LATER = Words("earlier", "later", "on the same day", " day", " days")
FEWER = Words("fewer", "more", "as many")


def whole(value: float) -> int:
    """Halves upwards, as the screens round."""
    return floor(value + 0.5)


def between(low: float | None, high: float | None, words: Words) -> str | None:
    """One number, a range, or the one end of it that is known; None of neither."""
    if low is None:
        return None if high is None else _one_sided(high, words, least=False)
    if high is None:
        return _one_sided(low, words, least=True)
    a, b = whole(low), whole(high)
    if a == b:
        return _sized(a, words)
    if a > 0:
        return f"{a} to {_sized(b, words)}"
    if b < 0:
        return f"{-b} to {_sized(a, words)}"
    return f"{_sized(a, words)} to {_sized(b, words)}"


def days_words(days: Diff, how: str = "") -> str | None:
    """'24 days earlier (95 %: 5 to 57 days earlier)'; None where nothing is known. `how` (' on
    average') follows the size."""
    limits, size = between(days.low, days.high, LATER), between(days.least, days.most, LATER)
    if size is None:
        return None if limits is None else f"{limits}{how} (95 %)"
    return f"{size}{how}{_beside(limits)}"


def ready_and_lost(sizes: Sizes, goal: str) -> str | None:
    """'by day 142, 17 more of a hundred are ready (95 %: ...) and 8 fewer are lost (95 %: ...)'."""
    parts: list[str] = []
    for share, what in ((sizes.ready, goal), (sizes.lost, "lost")):
        size = None if share is None else between(share.least, share.most, FEWER)
        if share is None or size is None:
            continue
        of = "" if parts else " of a hundred"
        limits = _beside(between(share.low, share.high, FEWER))
        parts.append(f"{size}{of} {_verb(share)} {what}{limits}")
    return f"by day {sizes.at_day}, {' and '.join(parts)}" if parts else None


def _beside(limits: str | None) -> str:
    return "" if limits is None else f" (95 %: {limits})"


def _verb(share: Diff) -> str:
    ends = {whole(end) for end in (share.least, share.most) if end is not None}
    return "is" if ends in ({1}, {-1}) else "are"


def _one_sided(limit: float, words: Words, *, least: bool) -> str:
    """'at least 11 days later', 'not later', 'at most 7 days later': by the size, not the sign."""
    size = whole(limit)
    if size == 0:
        return f"not {words.less if least else words.more}"
    return f"at {'least' if (size > 0) is least else 'most'} {_sized(size, words)}"


def _sized(size: int, words: Words) -> str:
    """'12 days earlier'."""
    if size == 0:
        return words.same
    unit = words.one if abs(size) == 1 else words.many
    return f"{abs(size)}{unit} {words.less if size < 0 else words.more}"
