"""What a reader must know beside a group's numbers: what is left out, and what may mislead.

Pure. Each note is one or two sentences and appears only where its own data call for it.
"""

from collections import Counter
from statistics import median_high

from api.healing.groups import Members
from api.healing.intervals import REGISTERED_WITHIN, Reason
from api.healing.sentence import count_of
from api.healing.shapes import Group
from api.healing.traits import By
from api.records.fields import Endpoint

MANY_AT_FIRST = 0.25
"""From this share of events found at the very first look an earlier one is suggested."""
ENOUGH_GAPS = 10
"""Gaps on either side below which comparing them says nothing."""

REASONS: dict[Reason, str] = {
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
        _unknown(group),
        _stops(group),
    ]
    return [note for note in found if note is not None]


def gap_days(members: Members) -> int | None:
    """The median of the newest gap between looks, over pieces that were looked at twice."""
    gaps = [one.watch.gap for one in members.pieces if one.watch.gap is not None]
    return median_high(gaps) if gaps else None


def _one_mother(members: Members, by: By) -> str | None:
    seen = members.seen
    if not seen:
        return None
    mothers = {one.cluster.mother for one in seen}
    sittings = {one.cluster.sitting for one in seen}
    if len(mothers) > 1 and len(sittings) > 1:
        return None
    what = "mother" if len(mothers) == 1 else "sitting"
    if by == "arm":
        return f"All are from one {what}: others may heal unlike it."
    return f"All are from one {what}: its part and the {by}'s cannot be separated."


def _excluded(members: Members) -> str | None:
    if not members.excluded:
        return None
    counts = Counter(reason for _, reason in members.excluded)
    parts = [f"{number} {REASONS[reason]}" for reason, number in sorted(counts.items())]
    total = count_of(len(members.excluded), "piece is", "pieces are")
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
    text = f"{group.missing} of the {group.lost} lost were missing, not found dead, and count lost."
    if group.loss is None or group.loss.missing_withdrawn is None:
        return text
    with_them, without = group.loss.share, group.loss.missing_withdrawn.share
    return (
        f"{text} By day {group.loss.horizon} that makes {with_them:.0%} lost, "
        f"or {without:.0%} if the missing are left out."
    )


def _after_ready(group: Group) -> str | None:
    if not group.lost_after_ready:
        return None
    return f"{group.lost_after_ready} of the {group.ready} ready were lost later; they count ready."


def _held_back(members: Members, endpoint: Endpoint) -> str | None:
    other: str = "hold" if endpoint == "sale" else "sale"
    number = sum(1 for one in members.pieces if one.traits.purpose == other)
    if not number:
        return None
    meant = "to be held back" if endpoint == "sale" else "for sale"
    goal = "for sale" if endpoint == "sale" else "to be cut again"
    return (
        f"{number} of the {len(members.pieces)} pieces were glued {meant}. Where such pieces are "
        f"never marked ready {goal}, they make it look later than it is; compare by purpose."
    )


def _first_looks(members: Members) -> str | None:
    events = [one.watch for one in members.pieces if one.watch.fate in ("ready", "lost")]
    first = sum(1 for one in events if one.first and one.right > 1)
    if not first or first < MANY_AT_FIRST * len(events):
        return None
    return (
        f"{first} of {len(events)} were ready or lost at the very first look, so all that is known "
        "of their day is that it came before. Look earlier after a cut."
    )


def _visits(members: Members) -> str | None:
    """Looks made because a piece seems ready make readiness look better dated, and earlier."""
    ready, still = (
        [w.gap for one in members.pieces for w in (one.watch,)
         if w.gap is not None and not w.first and (w.fate == "ready") is kind]
        for kind in (True, False)
    )  # fmt: skip
    if min(len(ready), len(still)) < ENOUGH_GAPS:
        return None
    short, usual = median_high(ready), median_high(still)
    if 2 * short > usual:
        return None
    return (
        f"Pieces were looked at {short} days apart just before they were called ready, others "
        f"{usual} days apart. Looks made because a piece seems ready bend the curve: "
        "keep to the rounds."
    )


def _never(group: Group) -> str | None:
    if not group.never_checked:
        return None
    them = count_of(group.never_checked, "piece was", "pieces were")
    return f"{them} never checked and tell nothing of healing. Check those that are still here."


def _unknown(group: Group) -> str | None:
    if group.loss is None or not group.loss.unknown:
        return None
    them = count_of(group.loss.unknown, "piece is", "pieces are")
    return (
        f"{them} left out of the share lost: withdrawn or not seen "
        f"since before day {group.loss.horizon}."
    )


def _stops(group: Group) -> str | None:
    if group.stops_at is None:
        return None
    return f"The curve stops before day {group.stops_at}: too few pieces were watched beyond it."
