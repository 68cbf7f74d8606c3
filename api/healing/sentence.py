"""The answer in one plain sentence. Pure: a group's numbers in, words out."""

from api.healing.estimate import CUTS_FOR_INTERVAL, READY_FOR_INTERVAL
from api.healing.shapes import DaysSeen, Group, LossShare
from api.records.fields import Endpoint

WIDE_GAP_DAYS = 10
"""Looks further apart than this are said beside the days, which cannot be surer than they are."""

NO_PIECES = (
    "No piece has been cut and glued yet. Record a cut under Cuts, scan each base as it is glued, "
    "and check the pieces on the round: the answer grows here."
)


def sentence(group: Group, endpoint: Endpoint) -> str:
    """What is known of a group, the main thing first, in terms no surer than the data."""
    ready = "ready" if endpoint == "sale" else "ready to be cut again"
    parts = [_answer(group, ready), *_asides(group)]
    text = f"{group.name}: {'; '.join(parts)}."
    if group.ready and group.gap_days is not None and group.gap_days > WIDE_GAP_DAYS:
        text += f" Dates are good to ± {group.gap_days} days."
    return text


def count_of(number: int, one: str, many: str) -> str:
    """'1 piece', '2 pieces'."""
    return f"{number} {one if number == 1 else many}"


def percent(share: LossShare) -> str:
    """'12 %', or '12 to 15 %' where looks leave it open."""
    least, most = round(100 * share.least), round(100 * share.most)
    return f"{least} %" if least == most else f"{least} to {most} %"


def day_range(seen: DaysSeen) -> str:
    """'on day 21', 'on days 21-35'."""
    if seen.first == seen.last:
        return f"on day {seen.first}"
    return f"on days {seen.first}-{seen.last}"


def _answer(group: Group, ready: str) -> str:
    if group.show == "range":
        return _range(group, ready)
    if group.show == "curve":
        return f"{_half(group, ready)}; {_too_few(group)}"
    if group.estimate is not None:
        return f"{_half(group, ready)}, 95 % {_limits(group)}"
    if group.median is None:
        return f"fewer than half became {ready} ({group.ready} of {group.pieces})"
    return (
        f"half are not {ready} yet, 95 % at least day {group.median.low}; "
        f"{group.ready} of {group.pieces} {ready}"
    )


def _range(group: Group, ready: str) -> str:
    if not group.pieces:
        return "no piece that can be counted"
    if group.pieces == group.never_checked:
        return f"{count_of(group.pieces, 'piece', 'pieces')}, none checked yet"
    if group.observed is not None:
        seen = f"first seen {ready} {day_range(group.observed)}"
        return f"{group.ready} of {group.pieces} {ready}, {seen}"
    if group.lost == group.pieces and group.found_lost is not None:
        every = "the only piece" if group.lost == 1 else f"all {group.lost}"
        return f"{every} lost, found so {day_range(group.found_lost)}"
    return f"none of {group.pieces} {ready} yet"


def _half(group: Group, ready: str) -> str:
    if group.estimate is not None:
        return f"half are {ready} by day {group.estimate.by}"
    end = group.curve[-1].day if group.curve else 0
    return f"{group.ready} of {group.pieces} {ready}, half not reached by day {end}"


def _limits(group: Group) -> str:
    if group.median is None or group.median.high is None:
        return f"at least day {group.median.low if group.median else 0}"
    if group.median.low == group.median.high:
        return f"on day {group.median.low}"
    return f"between {group.median.low} and {group.median.high}"


def _too_few(group: Group) -> str:
    if group.cuts < CUTS_FOR_INTERVAL:
        return f"too few {group.unit}s ({group.cuts}) to say how sure that is"
    return f"too few ready ({group.ready} of {READY_FOR_INTERVAL}) to say how sure that is"


def _asides(group: Group) -> list[str]:
    """Losses, unless they were the answer, and what makes it weaker than it looks."""
    seen = group.pieces - group.never_checked
    found: list[str] = []
    if group.lost and (group.lost < group.pieces or group.ready):
        found.append(f"{group.lost} of {group.pieces} lost")
    elif seen and not group.lost:
        found.append("none lost")
    if seen and group.show == "range" and group.cuts == 1:
        found.append(f"one {group.unit} only")
    if seen and group.never_checked:
        found.append(f"{group.never_checked} never checked")
    return found
