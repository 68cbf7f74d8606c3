"""How long labels can be read: of the checks at a tank, how the piece was found, by the kind of
its base, by where the label sits on it, and by how long ago it was glued.

A check says how its piece was found only where it was found at a pad; one opened from a list says
nothing and is not counted. 'By place' may mean that the label was not tried: the table says so.
"""

import asyncio
from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

import msgspec
from msgspec import Struct

from api.database import Row, Rows
from api.records import kinds as k
from api.stock.fold import local_day
from api.stock.lists import facility_of, taken_back
from api.stock.projection import decode_state

AGES = ((0, 30), (31, 90), (91, 180), (181, None))
"""Days since gluing, both ends counted; the last has no end."""


class Looks(Struct):
    """Counts of checks. `sits` is where the base kind has its label, null where nobody has said."""

    base: str
    sits: str | None
    from_day: int
    to_day: int | None
    scan: int = 0
    typed: int = 0
    place: int = 0


async def read_labels(db: Rows) -> list[Looks]:
    """One entry a base kind and age for which there are checks, by base and age."""
    items = await db.rows("SELECT id, fields FROM item")
    fields = {row["id"]: msgspec.json.decode(row["fields"]) for row in items}
    checks = await db.rows(
        "SELECT id, at, piece, record FROM log WHERE kind = 'check' AND record LIKE '%\"found\":%'"
    )
    pieces = {row["piece"] for row in checks}
    states = await db.rows_in("SELECT id, state FROM piece WHERE id IN (?)", pieces)
    gone = await db.rows("SELECT kind, subject, record FROM log WHERE kind = 'retract'")
    zone = facility_of(fields.get("settings", {})).zone
    said = {key: given.get("label_sits") for key, given in fields.items()}
    sits = {key: where if isinstance(where, str) else None for key, where in said.items()}
    # Every check of years is decoded: beside the requests of others, not before them.
    return await asyncio.to_thread(_counted, checks, states, gone, sits, zone)


class _Glued(NamedTuple):
    base: str
    since: date


def _counted(
    checks: Iterable[Row], states: Iterable[Row], retracts: Iterable[Row],
    sits: Mapping[str, str | None], zone: str,
) -> list[Looks]:  # fmt: skip
    """Checks that stand, of glued pieces."""
    gone = taken_back(retracts)
    pieces = {row["id"]: _glued(row["state"]) for row in states}
    found: dict[tuple[str, int], Looks] = {}
    for row in checks:
        record, piece = k.read_stored(row["record"]), pieces.get(row["piece"])
        if row["id"] in gone or piece is None or not isinstance(record, k.Check):
            continue
        if (how := record.body.found) is None:
            continue
        days = max(0, (date.fromisoformat(local_day(row["at"], zone)) - piece.since).days)
        low, high = next((a, b) for a, b in AGES if b is None or days <= b)
        looks = found.setdefault(
            (piece.base, low), Looks(piece.base, sits.get(piece.base), low, high)
        )
        setattr(looks, how, getattr(looks, how) + 1)
    return [found[key] for key in sorted(found)]


def _glued(text: str) -> _Glued | None:
    state = decode_state(text)
    if state.base is None or state.begun is None or state.begun.kind != "glue":
        return None
    return _Glued(state.base, date.fromisoformat(state.begun.day))
