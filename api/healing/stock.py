"""Everything the healing report reads, in one pass over the tables; no arithmetic."""

import asyncio
from dataclasses import dataclass
from typing import NamedTuple

import msgspec

from api.database import Database, Row
from api.healing.tanks import NO_TANKS, Tanks, read_tanks
from api.records import kinds as k
from api.records.fields import FieldValue, Purpose
from api.stock.fold import local_day
from api.stock.lists import Facility, facility_of
from api.stock.projection import decode_state
from api.stock.state import PieceState

PAGE = 5000
"""Pieces read and decoded at a time, so that a large stock is never in memory twice."""

Fields = dict[str, FieldValue]


class CutFacts(NamedTuple):
    """A cut as the report needs it; `day` is the facility's date at the saw."""

    mother: str
    sitting: str
    method: str
    day: str
    retracted: bool
    blade: str | None
    trial: str | None
    operator: str | None = None


class Glued(NamedTuple):
    """What was decided at gluing; later changes of base or purpose do not enter."""

    base: str | None
    purpose: Purpose | None
    tray: str | None = None


@dataclass(frozen=True)
class Stock:
    """Pieces and colonies by id, what each was glued as, cuts by id, list entries' fields.

    tanks  where trays stood and what tanks were given; empty unless it was asked for
    """

    pieces: dict[str, PieceState]
    glued: dict[str, Glued]
    cuts: dict[str, CutFacts]
    items: dict[str, Fields]
    today: str
    facility: Facility
    tanks: Tanks = NO_TANKS


async def read_stock(db: Database, now: int, *, tanks: bool = False) -> Stock:
    """The stock as it stands at `now`, UTC milliseconds; `tanks` reads those too."""
    rows = await db.rows("SELECT id, fields FROM item")
    items: dict[str, Fields] = {row["id"]: msgspec.json.decode(row["fields"]) for row in rows}
    facility = facility_of(items.get("settings", {}))
    zone = facility.zone
    cuts = await db.rows(
        "SELECT c.id, c.mother, c.sitting, c.method, c.at, c.retracted, l.record "
        "FROM cut c JOIN log l ON l.id = c.record"
    )
    pieces = await _pieces(db)
    return Stock(
        pieces,
        await _glued(db, pieces),
        {row["id"]: _cut(row, zone) for row in cuts},
        items,
        local_day(now, zone),
        facility,
        await read_tanks(db, zone) if tanks else NO_TANKS,
    )


async def _pieces(db: Database) -> dict[str, PieceState]:
    found: dict[str, PieceState] = {}
    last = ""
    while True:
        rows = await db.rows(
            "SELECT id, state FROM piece WHERE id > ? ORDER BY id LIMIT ?", last, PAGE
        )
        found |= await asyncio.to_thread(_decoded, rows)
        if len(rows) < PAGE:
            return found
        last = rows[-1]["id"]


def _decoded(rows: list[Row]) -> dict[str, PieceState]:
    return {row["id"]: decode_state(row["state"]) for row in rows}


async def _glued(db: Database, pieces: dict[str, PieceState]) -> dict[str, Glued]:
    """A state holds the newest base and tray: a mother may have been given a new base, and
    whatever was moved stands in another tray."""
    found = {
        piece: Glued(state.base, state.glued_for, state.tray) for piece, state in pieces.items()
    }
    changed = {
        state.begun.record: piece
        for piece, state in pieces.items()
        if state.begun is not None and state.begun.kind == "glue"
        and (state.cuts or state.moved_by is not None)
    }  # fmt: skip
    for row in await db.rows_in("SELECT id, record FROM log WHERE id IN (?)", changed):
        record = k.read_stored(row["record"])
        if isinstance(record, k.Glue):
            body = record.body
            found[changed[row["id"]]] = Glued(body.base, body.purpose, body.tray)
    return found


def _cut(row: Row, zone: str) -> CutFacts:
    record = k.read_stored(row["record"])
    body = record.body if isinstance(record, k.Cut) else None
    blade, trial, operator = (body.blade, body.trial, body.operator) if body else (None, None, None)
    return CutFacts(row["mother"], row["sitting"], row["method"], local_day(row["at"], zone),
                    bool(row["retracted"]), blade, trial, operator)  # fmt: skip
