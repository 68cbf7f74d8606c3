"""What may be asked about a trial's size. Refusals say what to write instead."""

from typing import NamedTuple

from api.planning.shapes import TrialEndpoint, Varies
from api.problems import BadRequest

ARMS_MOST = 6
PIECES_MOST, SPREAD_MOST, DAYS_MOST = 400, 1000, 1000


class Question(NamedTuple):
    """A trial as planned, and what was typed where the farm's records do not tell it.

    difference  days, or pieces of a hundred
    share       lost, pieces of a hundred
    spread      days: two thirds of one mother's pieces are ready within it of their middle
    """

    varies: Varies
    arms: int
    endpoint: TrialEndpoint
    difference: int
    share: int | None = None
    pieces: int | None = None
    spread: int | None = None

    def checked(self) -> "Question":
        """Itself; BadRequest, with a sentence, where nothing can be worked out from it."""
        limits = (
            (2 <= self.arms <= ARMS_MOST,
             f"A trial has two to {ARMS_MOST} arms; this one has {self.arms}."),
            (self.difference >= 1,
             "A difference of nothing cannot be found by any number of cuts. Write 1 or more."),
            (self.endpoint != "lost" or self.difference <= 100,
             "Of a hundred pieces at most a hundred can be lost. Write a smaller difference."),
            (self.endpoint == "lost" or self.difference <= DAYS_MOST,
             f"A difference is at most {DAYS_MOST} days here."),
            (self.share is None or 0 <= self.share <= 100,
             "Of a hundred pieces none to a hundred can be lost. Write 0 to 100."),
            (self.endpoint == "lost" or self.share != 100,
             "Where every piece is lost none becomes ready. Write less than 100."),
            (self.pieces is None or self.arms <= self.pieces <= PIECES_MOST,
             f"A cut needs a piece for each arm: write {self.arms} to {PIECES_MOST} pieces."),
            (self.spread is None or 1 <= self.spread <= SPREAD_MOST,
             f"Write the spread in days, 1 to {SPREAD_MOST}."),
        )  # fmt: skip
        for holds, sentence in limits:
            if not holds:
                raise BadRequest(f"{sentence} Nothing was changed.")
        return self
