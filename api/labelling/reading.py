"""How long labels can be read: of the checks at a tank, how the piece was found, by the kind of
its base, by where the label sits on it, and by how long ago it was glued.

A check says how its piece was found only where it was found at a pad; one opened from a list says
nothing and is not counted. 'By place' may mean that the label was not tried: the table says so.
"""

from collections.abc import Iterable
from datetime import date

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
        "SELECT l.id, l.at, l.record, p.id AS piece, p.state FROM log l JOIN piece p "
        "ON p.id = l.piece WHERE l.kind = 'check' AND l.record LIKE '%\"found\":%'"
    )
    gone = await db.rows("SELECT kind, subject, record FROM log WHERE kind = 'retract'")
    zone = facility_of(fields.get("settings", {})).zone
    said = {key: given.get("label_sits") for key, given in fields.items()}
    sits = {key: where if isinstance(where, str) else None for key, where in said.items()}
    return tally(checks, taken_back(gone), sits, zone)


def tally(
    checks: Iterable[Row], gone: set[str], sits: dict[str, str | None], zone: str
) -> list[Looks]:
    """Count rows (id, at, record, piece, state); those of colonies and taken back are left out."""
    found: dict[tuple[str, int], Looks] = {}
    glued: dict[str, tuple[str, date] | None] = {}
    for row in checks:
        record = k.read_stored(row["record"])
        if row["id"] in gone or not isinstance(record, k.Check) or record.body.found is None:
            continue
        if row["piece"] not in glued:
            glued[row["piece"]] = _glued(row["state"])
        if (known := glued[row["piece"]]) is None:
            continue
        base, since = known
        days = max(0, (date.fromisoformat(local_day(row["at"], zone)) - since).days)
        low, high = next((a, b) for a, b in AGES if b is None or days <= b)
        looks = found.setdefault((base, low), Looks(base, sits.get(base), low, high))
        setattr(looks, record.body.found, getattr(looks, record.body.found) + 1)
    return [found[key] for key in sorted(found)]


def _glued(text: str) -> tuple[str, date] | None:
    state = decode_state(text)
    if state.base is None or state.begun is None or state.begun.kind != "glue":
        return None
    return state.base, date.fromisoformat(state.begun.day)
