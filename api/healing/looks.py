"""What earlier looks saw of mouth and encrustation, out of the log: a state holds the newest only.

Taken-back records count for nothing, and a swept check is no look. What a look left out is as it
was last seen before, from the encrustation at gluing on, as in a piece's state.
"""

import asyncio
from collections.abc import Iterable, Mapping
from typing import NamedTuple, get_args

import numpy as np

from api.database import Database, Row
from api.healing.predict.landmark import NOT_SEEN
from api.records import kinds as k
from api.records.fields import Mouth
from api.stock.fold import local_day
from api.stock.lists import taken_back

STAGES: tuple[Mouth, ...] = get_args(Mouth)
"""Stages of the mouth in order; a stage's number is its place."""
MOST_READ = 1500
"""Pieces whose looks are read: more of them would teach nothing further (`landmark_fit`)."""


class Look(NamedTuple):
    """A piece on the facility's date `day`, by the end of that day: the stage of its mouth and the
    step of its encrustation, NOT_SEEN where nobody had recorded it."""

    piece: str
    day: str
    mouth: int
    encrustation: int


def stage_of(mouth: Mouth | None) -> int:
    """The number of a stage, NOT_SEEN for None."""
    return NOT_SEEN if mouth is None else STAGES.index(mouth)


def step_of(encrustation: int | None) -> int:
    """The number of a step of encrustation, NOT_SEEN for None."""
    return NOT_SEEN if encrustation is None else encrustation


def some(pieces: Iterable[str]) -> list[str]:
    """These pieces, or a choice of MOST_READ that is always the same for the same pieces."""
    known = sorted(pieces)
    if len(known) <= MOST_READ:
        return known
    chosen = np.random.default_rng(0).choice(len(known), MOST_READ, replace=False)
    return [known[at] for at in sorted(chosen.tolist())]


async def read_looks(db: Database, starts: Mapping[str, int | None], zone: str) -> list[Look]:
    """The looks at the pieces that `starts` names, each with its encrustation at gluing: in order
    of time for each piece, one a day. A piece that is not known has none."""
    rows = await db.rows_in(
        "SELECT piece, at, id, kind, subject, record FROM log "
        "WHERE piece IN (?) AND kind IN ('check', 'retract')",
        starts,
    )
    return await asyncio.to_thread(_decoded, rows, starts, zone)


def _decoded(rows: list[Row], starts: Mapping[str, int | None], zone: str) -> list[Look]:
    """Reading so many records takes long enough to be kept off the event loop."""
    rows.sort(key=lambda row: (row["piece"], row["at"], row["id"]))
    gone = taken_back(rows)
    checks = (
        (row["piece"], row["at"], k.read_stored(row["record"]))
        for row in rows if row["id"] not in gone
    )  # fmt: skip
    return in_days(
        ((piece, local_day(at, zone), check) for piece, at, check in checks
         if isinstance(check, k.Check) and not check.body.swept),
        starts,
    )  # fmt: skip


def in_days(
    checks: Iterable[tuple[str, str, k.Check]], starts: Mapping[str, int | None]
) -> list[Look]:
    """One look a day out of checks (piece, date, record), which come in order. Pure."""
    found: list[Look] = []
    for piece, day, check in checks:
        before = found[-1] if found and found[-1].piece == piece else None
        if before is None:
            before = Look(piece, "", NOT_SEEN, step_of(starts[piece]))
        elif before.day == day:
            found.pop()
        mouth, cover = stage_of(check.body.mouth), step_of(check.body.encrustation)
        found.append(Look(
            piece, day, before.mouth if mouth == NOT_SEEN else mouth,
            before.encrustation if cover == NOT_SEEN else cover,
        ))  # fmt: skip
    return found
