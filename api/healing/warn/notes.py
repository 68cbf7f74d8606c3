"""What is said above the list of losses that stand out: why there is none, or what it leaves out.

Pure; words only.
"""

from collections.abc import Sequence
from typing import Literal

from api.healing.sentence import count_of
from api.healing.warn.funnel import Standing

MOST = 100
"""Cuts and trays listed."""
FEWEST_UNITS = 4
"""Below so many cuts, or trays, nobody knows what is usual."""
ORDER = {"act": 0, "look": 1, "usual": 2, "as-usual": 2}
Level = Literal["look", "act", "as-usual"]

NOTHING_SEEN = (
    "No piece has been looked at since it was cut. Check the pieces on the round: what is usual "
    f"here is known from {FEWEST_UNITS} cuts on."
)
NOT_SETTLED = (
    "What is usual here could not be worked out to its promised accuracy, so that not everything "
    "is compared. Nothing was changed."
)
NONE_LOST = "No piece that was looked at has been lost."
ALL_LOST = (
    "Every piece that was looked at has been lost, whatever the cut: none stands out beside the "
    "others, and all want looking into."
)
NONE_ODD = "No cut and no tray loses more than is usual here."


def warning_notes(
    cuts: int, trays: int, found: Sequence[tuple[Level, Standing]], *, settled: bool = True
) -> list[str]:
    """Sentences for so many cuts and trays that were looked at; `found` are those weighed, all of
    them if `settled`. The first says what came of it, unless something stands out."""
    if not cuts:
        return [NOTHING_SEEN]
    if cuts < FEWEST_UNITS:
        them = count_of(cuts, "cut has", "cuts have")
        return [f"{them} been looked at: it takes {FEWEST_UNITS} to know what is usual here."]
    outcome = _outcome(found) if settled else [NOT_SETTLED]
    return [*outcome, *_usual_left_out(found), *_trays(trays)]


def _outcome(found: Sequence[tuple[Level, Standing]]) -> list[str]:
    odd = sum(level != "as-usual" for level, _ in found)
    if odd > MOST:
        return [f"{odd} cuts and trays stand out; the {MOST} gravest are listed."]
    if odd:
        return []
    if not any(standing.lost for _, standing in found):
        return [NONE_LOST]
    if all(standing.lost == standing.pieces for _, standing in found):
        return [ALL_LOST]
    return [NONE_ODD]


def _usual_left_out(found: Sequence[tuple[Level, Standing]]) -> list[str]:
    """The gravest are listed first, so that only what is as usual may be missing here unsaid."""
    odd = sum(level != "as-usual" for level, _ in found)
    more = len(found) - max(odd, MOST)
    if more <= 0:
        return []
    return [f"{count_of(more, 'more is', 'more are')} as usual and not listed."]


def _trays(trays: int) -> list[str]:
    if not 0 < trays < FEWEST_UNITS:
        return []
    hold = count_of(trays, "tray holds", "trays hold")
    return [f"{hold} pieces: it takes {FEWEST_UNITS} to compare trays with each other."]
