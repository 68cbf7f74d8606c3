"""Groups side by side, on the wire. First group less second throughout."""

from typing import Literal

from msgspec import Struct

from api.healing.shapes import Unit
from api.healing.traits import By
from api.records.fields import Endpoint, Moment

Verdict = Literal["too-few", "not-settled", "cannot-separate", "not-told-apart", "differs"]
"""'not-settled' where the arithmetic found no answer it could stand by. 'differs' only with four
cuts a side or more, something else separable, and a p-value of 5 % or less after the correction for
all comparisons made."""


class Diff(Struct, frozen=True):
    """A difference with 95 % limits; a limit that does not exist is None ('at least', 'at most').

    least and most are equal where looks leave nothing open.
    """

    least: float | None
    most: float | None
    low: float | None
    high: float | None


class Sizes(Struct, frozen=True):
    """days of getting half ready, None below ten ready pieces on a side; ready and lost in pieces
    per hundred by the end of `at_day`."""

    at_day: int
    days: Diff | None
    ready: Diff | None
    lost: Diff | None


class Odds(Struct, frozen=True):
    """Could chance have dealt it so: `p` permutes cuts, and within a cut with pieces in both groups
    its pieces, as arms were drawn; or it is Barnard's where each piece is its own cut and they are
    few; `several` is p corrected for all that were made at once, `smallest` the
    least p that so few can give."""

    p: float
    several: float
    smallest: float


class Pair(Struct, frozen=True):
    """Two groups. `within` pairs arms by cut, in a trial; None else.

    drawn           `within` in a sentence of its own, which leads; `sentence` is of `crude`
    crude, ready_odds, lost_odds  None where too little was seen, or nothing could be worked out
    adjusted        as if both groups had the same mix of what `adjusted_for` names
    not_adjusted    what goes with the groups and cannot be taken out
    """

    one: str
    one_name: str
    other: str
    other_name: str
    verdict: Verdict
    drawn: str | None
    sentence: str
    crude: Sizes | None
    adjusted: Sizes | None
    within: Sizes | None
    adjusted_for: list[str]
    not_adjusted: list[str]
    ready_odds: Odds | None
    lost_odds: Odds | None
    warnings: list[str]


class Comparison(Struct, frozen=True):
    """The pairs of the largest groups. `note` are sentences about all of them."""

    by: By
    endpoint: Endpoint
    made_at: Moment
    unit: Unit
    pairs: list[Pair]
    note: list[str]
