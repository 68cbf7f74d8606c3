"""What is said above the likely days: what they mean, what is left out, or why there are none.

Pure; words only.
"""

from collections.abc import Sequence

from api.healing.estimate import READY_FOR_INTERVAL
from api.healing.sentence import count_of

NO_MODEL = "The model could not be fitted to these pieces, so no date is given."
ABOUT = (
    "Each piece counts from its last look, not from today: look, and its date is better.",
    "A range holds the day with a chance of 80 %, should the piece get ready; the chance that it "
    "does stands beside it.",
)
BY_LOOKS = (
    "Mouth and encrustation as seen at the last check are in every chance and date: in cuts of "
    "this farm that were left out of the learning, they foretold better than days alone."
)
NOT_BY_LOOKS = (
    "Mouth and encrustation as seen at the last check are not used: there are too few earlier "
    "checks with both on record, or in cuts left out of the learning they foretold no better than "
    "days alone."
)


def too_early(healing: int, ready: int) -> str | None:
    """Why nothing can be said of so many pieces still healing, from so many that were seen getting
    ready; None where it can be tried."""
    if not healing:
        return "No piece is healing here that was looked at since its cut."
    if ready < READY_FOR_INTERVAL:
        return (
            f"Too early to say: {ready} of {READY_FOR_INTERVAL} pieces that it takes were seen "
            "getting ready."
        )
    return None


def likely_notes(late: int, hopeless: int, far: Sequence[str], *, by_looks: bool) -> list[str]:
    """What dates mean, then what is odd: so many pieces without one, by why, and the names of
    methods in which the model strays."""
    notes = [*ABOUT, BY_LOOKS if by_looks else NOT_BY_LOOKS]
    if late:
        notes.append(
            f"{count_of(late, 'piece has', 'pieces have')} been healing for longer than nearly "
            "all others did. No date is given: look at them."
        )
    if hopeless:
        notes.append(
            f"{count_of(hopeless, 'piece has', 'pieces have')} hardly a chance left to get ready, "
            "or no end in sight. No date is given: look at them."
        )
    if far:
        notes.append(
            f"{', '.join(sorted(set(far)))}: the model lies far from what was plainly seen. Trust "
            "the curve there more than these dates."
        )
    return notes
