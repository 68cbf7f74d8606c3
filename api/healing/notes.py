"""What a reader must know beside a group's numbers: what is left out, and what may mislead.

Pure. Each note is one or two sentences and appears only where its own data call for it.
"""

import numpy as np

from api.healing.groups import Members
from api.healing.intervals import LOST, READY, REASONS, REGISTERED_WITHIN, Reason
from api.healing.rows import IntArray, distinct
from api.healing.sentence import count_of, percent
from api.healing.shapes import Group
from api.healing.traits import By
from api.records.fields import Endpoint

MANY_AT_FIRST = 0.25
"""From this share of events found at the very first look an earlier one is suggested."""
ENOUGH_GAPS = 10
"""Gaps on either side below which comparing them says nothing."""

WHY: dict[Reason, str] = {
    "cut-retracted": "the cut was taken back",
    "glued-before-cut": "dated as glued before the cut",
    "registered-late": f"first recorded more than {REGISTERED_WITHIN} days after the cut, when "
    "others may have been lost uncounted",
    "wrong-date": "seen more than a hundred years after the cut: look for a wrong date",
}


def group_notes(members: Members, group: Group, by: By, endpoint: Endpoint) -> list[str]:
    """The notes of one group, the gravest first."""
    found = [
        _one_mother(members, by),
        _excluded(members),
        _withdrawn(group),
        _missing(group),
        _after_ready(group),
        _held_back(members, endpoint),
        _first_looks(members),
        _visits(members),
        _never(group),
        _stops(group),
    ]
    return [note for note in found if note is not None]


def gap_days(members: Members) -> int | None:
    """The median of the newest gap between looks, over pieces that were looked at twice, or were
    ready at their first look: that lies as far from their cut."""
    gaps = members.watch.gap
    return _median(gaps[gaps >= 0])


def _median(days: IntArray) -> int | None:
    """The upper median, a day that there was; None of nothing."""
    return int(np.partition(days, days.size // 2)[days.size // 2]) if days.size else None


def _one_mother(members: Members, by: By) -> str | None:
    seen = members.seen
    if not seen.size:
        return None
    mothers = distinct(seen.codes("mother"))
    if mothers > 1 and distinct(members.table.sitting[seen.at]) > 1:
        return None
    what = "mother" if mothers == 1 else "sitting"
    if by == "arm":
        return f"All are from one {what}: others may heal unlike it."
    return f"All are from one {what}: its part and the {by}'s cannot be separated."


def _excluded(members: Members) -> str | None:
    if not members.out.size:
        return None
    counts = np.bincount(members.table.reason[members.out], minlength=len(REASONS))
    found = sorted(
        (reason, number) for reason, number in zip(REASONS, counts, strict=True) if number
    )
    parts = [f"{number}: {WHY[reason]}" for reason, number in found]
    total = count_of(int(members.out.size), "piece is", "pieces are")
    return f"{total} left out: {'; '.join(parts)}."


def _withdrawn(group: Group) -> str | None:
    if not group.withdrawn:
        return None
    gone = count_of(group.withdrawn, "piece was", "pieces were")
    return (
        f"{gone} sold, moved on or cut again before being recorded ready, and counted up to the "
        "last look. If the best ones go first, the others make healing look slower than it is."
    )


def _missing(group: Group) -> str | None:
    if not group.missing:
        return None
    were, count = ("was", "counts") if group.missing == 1 else ("were", "count")
    of = f"{group.missing} of the {group.lost} lost"
    text = f"{of} {were} missing, not found dead, and {count} as lost."
    if group.loss is None or group.loss.missing_withdrawn is None:
        return text
    return (
        f"{text} By day {group.loss.horizon} that makes {percent(group.loss)} lost, "
        f"or {percent(group.loss.missing_withdrawn)} if the missing are left out."
    )


def _after_ready(group: Group) -> str | None:
    number = group.lost_after_ready
    if not number:
        return None
    were, count = ("was", "it counts") if number == 1 else ("were", "they count")
    return f"{number} of the {group.ready} ready {were} lost later; {count} as ready."


def _held_back(members: Members, endpoint: Endpoint) -> str | None:
    other: str = "hold" if endpoint == "sale" else "sale"
    held = members.table.traits.are("purpose", {other})
    number = int(np.count_nonzero(held[members.at]))
    if not number:
        return None
    meant = "to be held back" if endpoint == "sale" else "for sale"
    goal = "for sale" if endpoint == "sale" else "to be cut again"
    were = "was" if number == 1 else "were"
    some = f"{number} of the {members.size} pieces {were}"
    if number == members.size:
        some = "The only piece was" if number == 1 else f"All {number} pieces were"
    return (
        f"{some} glued {meant}. Where such pieces are never marked ready {goal}, they make it look "
        "later than it is; compare by purpose."
    )


def _first_looks(members: Members) -> str | None:
    watch = members.watch
    events = int(np.count_nonzero((watch.fate == READY) | (watch.fate == LOST)))
    first = int(np.count_nonzero(watch.first & (watch.right > 1)))
    if not first or first < MANY_AT_FIRST * events:
        return None
    were = "was" if first == 1 else "were"
    return (
        f"{first} of {events} {were} ready or lost at the very first look, so all that is known "
        "of their day is that it came before. Look earlier after a cut."
    )


def _visits(members: Members) -> str | None:
    """Looks made because a piece seems ready make readiness look better dated, and earlier."""
    watch = members.watch
    known = (watch.gap >= 0) & ~watch.first
    ready, still = (watch.gap[known & kind] for kind in (watch.fate == READY, watch.fate != READY))
    if min(ready.size, still.size) < ENOUGH_GAPS:
        return None
    short, usual = _median(ready), _median(still)
    assert short is not None
    assert usual is not None
    if 2 * short > usual:
        return None
    before, others = (count_of(gap, "day", "days") for gap in (short, usual))
    return (
        f"Pieces were looked at {before} apart just before they were called ready, others {others} "
        "apart. Looks made because a piece seems ready bend the curve: keep to the rounds."
    )


def _never(group: Group) -> str | None:
    if not group.never_checked:
        return None
    them = count_of(group.never_checked, "piece was", "pieces were")
    tell = "tells" if group.never_checked == 1 else "tell"
    return f"{them} never checked and {tell} nothing of healing. Check what is still here."


def _stops(group: Group) -> str | None:
    if group.stops_at is None:
        return None
    return f"The curve stops before day {group.stops_at}: too few pieces were watched beyond it."
