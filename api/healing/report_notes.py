"""What a reader must know of the report as a whole: above all, what cannot be told apart. Pure."""

from collections.abc import Sequence

import numpy as np

from api.healing.groups import Grouped, Members
from api.healing.loss import HORIZONS
from api.healing.only import Only
from api.healing.sentence import NO_PIECES, count_of
from api.healing.shapes import Group
from api.healing.traits import UNKNOWN, By

GOES_WITH = 0.9
"""A trait that so many of a group's pieces share is the group's own."""

TRAITS: dict[str, str] = {
    "method": "method", "base": "base", "species": "species", "form": "growth form",
    "purpose": "purpose", "mouths": "mouths kept", "size": "starting size",
    "start": "starting encrustation", "number": "cut number", "operator": "operator",
    "blade": "blade", "tank": "tank", "care": "care", "arm": "arm of a trial", "mother": "mother",
}  # fmt: skip


NO_TRIAL_PIECES = (
    "No piece has been glued in this trial yet. Choose it at the saw, when it is said how a "
    "mother is cut: the answer grows here."
)
VARIED = frozenset({"method", "base"})
"""What differs between a trial's arms because it is what they are."""
BELONGS: dict[By, frozenset[str]] = {
    "species": frozenset({"form", "mother", "number"}),
    "form": frozenset({"species", "mother", "number"}),
    "tank": frozenset({"care"}),
    "care": frozenset({"tank"}),
    "method": frozenset({"blade"}),
    "blade": frozenset({"method"}),
    "arm": VARIED | {"mouths", "blade"},
    "number": frozenset({"mother"}),
}
"""Traits that come with what is compared: no other mix of them could have been had."""


NOTHING_LEFT = (
    "No piece is like that: nothing was cut in those days with what was chosen. Choose less, or "
    "other days."
)
OF_A_TANK = (
    "All pieces of one tank share its water and its care, so a tank counts once here, however many "
    "pieces stand in it."
)
ONE_TANK = (
    "Tanks differ in more than one thing: what of a difference is the water's, the light's or the "
    "place's cannot be told."
)


def report_notes(
    found: Grouped, shown: Sequence[Group], by: By, horizon: int | None, only: Only
) -> list[str]:
    """The notes on the whole report; on an empty farm, what to do next."""
    notes = [] if found.groups else [_nothing(by, only)]
    if by == "care" and found.groups:
        notes.append(OF_A_TANK)
    if by == "tank" and found.groups:
        notes.append(ONE_TANK)
    if found.cut_unknown:
        left = count_of(found.cut_unknown, "piece names", "pieces name")
        notes.append(f"{left} a cut that is not known here, and cannot be counted.")
    looked = any(group.pieces > group.never_checked for group in shown)
    if any(group.loss for group in shown) or (horizon is None and looked):
        notes.append(_horizon(horizon))
    return notes + tangled(found.groups, by)


def _nothing(by: By, only: Only) -> str:
    if not only.is_everything:
        return NOTHING_LEFT
    return NO_PIECES if by != "arm" else NO_TRIAL_PIECES


def tangled(groups: Sequence[Members], by: By) -> list[str]:
    """Traits that differ between groups and hardly within them: nobody can tell the two apart."""
    filled = [group for group in groups if group.size]
    belongs = BELONGS.get(by, frozenset()) | {by}
    found = []
    for trait, word in TRAITS.items():
        if trait in belongs or len(filled) < 2:
            continue
        own = [_own(group, trait) for group in filled]
        if None not in own and len(set(own)) > 1:
            found.append(word)
    if not found:
        return []
    words = found[0] if len(found) == 1 else f"{', '.join(found[:-1])} and {found[-1]}"
    differ = "differs" if len(found) == 1 else "differ"
    return [
        f"Where the {by} differs, the {words} {differ} too: what is the doing of which "
        "cannot be separated. Mix them in the next cuts."
    ]


def _own(group: Members, trait: str) -> str | None:
    counts = np.bincount(group.codes(trait))
    most = int(counts.argmax())
    value = group.values(trait)[most]
    return value if value != UNKNOWN and counts[most] >= GOES_WITH * group.size else None


def _horizon(horizon: int | None) -> str:
    if horizon is None:
        return (
            f"No share lost is given yet: that takes cuts watched for {HORIZONS[0]} days, "
            "with at least half of the pieces in them."
        )
    *some, last = HORIZONS
    return (
        f"Shares lost are by day {horizon}: the longest of {', '.join(map(str, some))} and {last} "
        "that at least half of the pieces have passed."
    )
