"""Everything the healing report reads, in one pass over the tables; no arithmetic."""

from dataclasses import dataclass, field
from typing import NamedTuple

import msgspec

from api.database import Database, Row
from api.healing.facts import Facts, read_facts, read_words
from api.healing.tanks import NO_TANKS, Tanks, read_tanks
from api.records.fields import FieldValue
from api.stock.fold import local_day
from api.stock.lineage import Kin, kin_of
from api.stock.lists import Facility, facility_of
from api.stock.projection import decode_state

Fields = dict[str, FieldValue]


class CutFacts(NamedTuple):
    """A cut as the report needs it; `day` is the facility's date at the saw."""

    id: str
    mother: str
    sitting: str
    method: str
    day: str
    retracted: bool
    blade: str | None
    trial: str | None
    operator: str | None


@dataclass(frozen=True)
class Stock:
    """Glued pieces in columns, cuts by id, mothers' part in the lineage, list entries' fields.

    words   the text of each number in `facts`
    pieces  the pieces' ids in the order of `facts`; empty unless they were asked for
    tanks   where trays stood and what tanks were given; empty unless it was asked for
    """

    facts: Facts
    words: dict[int, str]
    cuts: dict[str, CutFacts]
    mothers: dict[str, Kin]
    items: dict[str, Fields]
    today: str
    facility: Facility
    tanks: Tanks = NO_TANKS
    pieces: list[str] = field(default_factory=list)


async def read_stock(db: Database, now: int, *, tanks: bool = False, ids: bool = False) -> Stock:
    """The stock as it stands at `now`, UTC milliseconds; `tanks` and `ids` read those too."""
    rows = await db.rows("SELECT id, fields FROM item")
    items: dict[str, Fields] = {row["id"]: msgspec.json.decode(row["fields"]) for row in rows}
    facility = facility_of(items.get("settings", {}))
    zone = facility.zone
    facts, pieces = await read_facts(db, ids=ids)
    cuts = await db.rows(
        "SELECT id, mother, sitting, method, at, retracted, blade, operator, trial FROM cut"
    )
    return Stock(
        facts,
        await read_words(db),
        {row["id"]: _cut(row, zone) for row in cuts},
        await _mothers(db),
        items,
        local_day(now, zone),
        facility,
        await read_tanks(db, zone) if tanks else NO_TANKS,
        pieces,
    )


async def _mothers(db: Database) -> dict[str, Kin]:
    """Every piece that was ever cut: all forebears of any piece are among them."""
    rows = await db.rows("SELECT id, state FROM piece WHERE id IN (SELECT mother FROM cut)")
    return {row["id"]: kin_of(decode_state(row["state"])) for row in rows}


def _cut(row: Row, zone: str) -> CutFacts:
    return CutFacts(
        row["id"], row["mother"], row["sitting"], row["method"], local_day(row["at"], zone),
        bool(row["retracted"]), row["blade"], row["trial"], row["operator"],
    )  # fmt: skip
