"""What the fold knows of one piece. Plain data, the same names and shapes in both languages.

Days are local dates of the facility ('2026-03-01'); `at` is corrected UTC in milliseconds.
"""

from typing import Literal

from msgspec import Struct, field

from api.records.fields import (
    Encrustation,
    Expansion,
    LossSign,
    Mouth,
    MouthsKept,
    Purpose,
    Recession,
    Sign,
)

Stage = Literal["unknown", "colony", "healing", "ready", "lost", "exited"]
FlagKind = Literal[
    "before-glue",  # seen or decided before the piece was glued: kept, counts for nothing
    "begun-twice",  # two records bring the same piece into being: the first stands
    "seen-after-loss",  # recorded lost, later seen alive: alive
    "ready-after-loss",  # recorded lost, later ready: ready
    "moves-at-once",  # two moves at one time: the higher id stands
    "after-exit",  # seen or lost after it had left: ignored
    "cut-before-begun",  # cut before it had arrived or was glued: kept, counts
    "cut-after-loss",  # cut while recorded lost: kept, counts; the loss stands
    "cut-after-exit",  # cut after it had left: kept, counts
]


class Flag(Struct, frozen=True):
    """Two records that disagree. Both are kept; a person decides."""

    what: FlagKind
    record: str
    against: str | None = None


class Claim(Struct, frozen=True):
    """A code given to this piece. If two pieces claim one, the lower (at, record) holds it."""

    code: str
    at: int
    record: str


class Begun(Struct, frozen=True):
    """The record that brought the piece into being: gluing, or arrival of a colony."""

    kind: Literal["arrival", "glue"]
    record: str
    at: int
    day: str


class Event(Struct, frozen=True):
    """Something that happened in (after, by]: `after` None means since the cut."""

    record: str
    after: str | None
    by: str


class LossEvent(Struct, frozen=True):
    """A loss in (after, by]; `after` is the last day before it that the piece was seen alive."""

    record: str
    after: str | None
    by: str
    how: Literal["dead", "missing"]
    sign: LossSign | None = None
    cause: str | None = None


class ExitEvent(Struct, frozen=True):
    """How a piece left: dispatched, culled, given, or cut up whole as a mother."""

    record: str
    day: str
    how: Literal["dispatched", "culled", "given", "cut-up"]
    to: str | None = None


class Withdrawn(Struct, frozen=True):
    """First time the piece was itself cut: what healing it showed ends with these looks."""

    record: str
    day: str
    looked: str | None
    alive: str | None


class PieceState(Struct):
    """The fold of one piece's records. `last_at`, `last_id` are the key of the newest one folded.

    looked/looked_before  the last day a person looked at the piece itself, and the day before that
    alive/alive_before    the same for seen alive at all, sweeps included
    glued_for             purpose at gluing, which decides the cut number whatever came later
    ready_sale/ready_cut  first readiness for each endpoint
    """

    id: str
    last_at: int = -1
    last_id: str = ""
    stage: Stage = "unknown"
    begun: Begun | None = None
    codes: list[Claim] = field(default_factory=list)
    line: str | None = None
    species: str | None = None
    origin: Literal["wild", "farmed", "unknown"] | None = None
    cut_number: int | None = None
    quarantine_days: int | None = None
    cut: str | None = None
    base: str | None = None
    purpose: Purpose | None = None
    glued_for: Purpose | None = None
    mouths_kept: MouthsKept | None = None
    size_mm: int | None = None
    start: Encrustation | None = None
    arm: str | None = None
    tray: str | None = None
    place: str | None = None
    tank: str | None = None
    moved_at: int = -1
    moved_by: str | None = None
    expansion: Expansion | None = None
    mouth: Mouth | None = None
    encrustation: Encrustation | None = None
    recession: Recession | None = None
    signs: list[Sign] = field(default_factory=list)
    checks: int = 0
    swept: int = 0
    looked: str | None = None
    looked_before: str | None = None
    alive: str | None = None
    alive_before: str | None = None
    ready_sale: Event | None = None
    ready_cut: Event | None = None
    loss: LossEvent | None = None
    exit: ExitEvent | None = None
    cuts: int = 0
    last_cut: str | None = None
    withdrawn: Withdrawn | None = None
    flags: list[Flag] = field(default_factory=list)


CLOSED: frozenset[Stage] = frozenset({"lost", "exited"})
"""Stages in which nothing more is expected of a piece, so that phones may drop its records."""


def add_claim(claims: list[Claim], code: str | None, at: int, record: str) -> None:
    """Add a code to those given before; given once more, the first time stands."""
    if code is not None and all(claim.code != code for claim in claims):
        claims.append(Claim(code, at, record))
