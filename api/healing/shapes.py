"""The healing report on the wire. Days are whole days since the cut, shares are 0 to 1."""

from typing import Literal

from msgspec import Struct

from api.healing.traits import By
from api.records.fields import Endpoint, Moment

Unit = Literal["cut", "tank"]
"""What counts once: pieces of one mother and sitting, or, for care, whole tanks."""
Show = Literal["range", "curve", "full"]
"""How much the data allow: counts and the range seen, a curve, or a curve with its 95 % band."""


class CurvePoint(Struct, frozen=True):
    """Shares of the pieces cut, from the end of `day` until the next point's day.

    low and high differ where the looks leave the day open: nothing in between is known better.
    """

    day: int
    ready_low: float
    ready_high: float
    lost_low: float
    lost_high: float


class BandPoint(Struct, frozen=True):
    """95 % limits of the share ready, from the end of `day` until the next point's day."""

    day: int
    low: float
    high: float


class DaysSeen(Struct, frozen=True):
    """The earliest and the latest day on which a piece was first seen so."""

    first: int
    last: int


class MedianRange(Struct, frozen=True):
    """95 % range of the day by which half of the pieces cut are ready; `high` None: at least."""

    low: int
    high: int | None


class Half(Struct, frozen=True):
    """The best estimate of that day: after the end of `after`, by the end of `by`."""

    after: int
    by: int


class LossShare(Struct, frozen=True):
    """A share of the pieces cut with its 95 % limits; least and most are what looks leave open."""

    least: float
    most: float
    low: float
    high: float


class LossByDay(LossShare, frozen=True):
    """Lost, not yet ready, by the end of day `horizon`.

    missing            how many of the lost by then were not found, rather than found dead
    missing_withdrawn  the same with missing pieces withdrawn, where there are any
    """

    horizon: int
    missing: int
    missing_withdrawn: LossShare | None


class Group(Struct, frozen=True):
    """One group. pieces = ready + lost + healing + withdrawn + never_checked; excluded are apart.

    cuts              mothers within sittings of which anything was seen; where `unit` says so,
                      tanks
    observed          days on which pieces were first seen ready
    found_lost        days on which pieces were found lost
    estimate, median  None where half was not reached, or where too little was seen to say
    middle            from the first day of the first quarter to the last of the third
    loss              None below four cuts watched to the horizon
    stops_at          from this day on too few pieces were watched to draw the curve
    gap_days          median days between looks
    """

    key: str
    name: str
    unit: Unit
    pieces: int
    cuts: int
    ready: int
    lost: int
    healing: int
    withdrawn: int
    never_checked: int
    lost_after_ready: int
    missing: int
    excluded: int
    show: Show
    sentence: str
    observed: DaysSeen | None
    found_lost: DaysSeen | None
    estimate: Half | None
    median: MedianRange | None
    middle: tuple[int, int] | None
    loss: LossByDay | None
    curve: list[CurvePoint]
    band: list[BandPoint] | None
    stops_at: int | None
    gap_days: int | None
    notes: list[str]


class Choice(Struct, frozen=True):
    """A value of a trait that pieces have, by which a report can be narrowed ('trait:value')."""

    trait: By
    value: str
    name: str
    pieces: int


class Report(Struct, frozen=True):
    """The answer. `note` are sentences about the whole of it; without groups, what to do next.

    all      every piece of the groups in one, where there are two groups or more
    choices  by what the report can be narrowed
    since, until, only  to which pieces it was narrowed, as it was asked
    """

    by: By
    endpoint: Endpoint
    made_at: Moment
    groups: list[Group]
    all: Group | None
    note: list[str]
    choices: list[Choice]
    trial: str | None
    since: str | None
    until: str | None
    only: list[str]
