"""Everything the healing report reads, in one pass over the tables; no arithmetic."""

import asyncio
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
    """The stock as it stands at `now`, UTC milliseconds, all of one moment; `tanks` and `ids` read
    those too."""
    async with db.snapshot() as tables:
        rows = await tables.rows("SELECT id, fields FROM item")
        items: dict[str, Fields] = {row["id"]: msgspec.json.decode(row["fields"]) for row in rows}
        facility = facility_of(items.get("settings", {}))
        facts, pieces = await read_facts(tables, ids=ids)
        words = await read_words(tables)
        cuts = await tables.rows(
            "SELECT id, mother, sitting, method, at, retracted, blade, operator, trial FROM cut"
        )
        # Every piece that was ever cut: all forebears of any piece are among them.
        mothers = await tables.rows(
            "SELECT id, state FROM piece WHERE id IN (SELECT mother FROM cut)"
        )
        stood = await read_tanks(tables, facility.zone) if tanks else NO_TANKS

    def understood() -> Stock:
        return Stock(
            Facts.read(facts),
            words,
            {row["id"]: _cut(row, facility.zone) for row in cuts},
            {row["id"]: kin_of(decode_state(row["state"])) for row in mothers},
            items,
            local_day(now, facility.zone),
            facility,
            stood,
            pieces.split(",") if pieces else [],
        )

    # A million pieces take a second: pushes and pulls are answered meanwhile.
    return await asyncio.to_thread(understood)


def _cut(row: Row, zone: str) -> CutFacts:
    return CutFacts(
        row["id"], row["mother"], row["sitting"], row["method"], local_day(row["at"], zone),
        bool(row["retracted"]), row["blade"], row["trial"], row["operator"],
    )  # fmt: skip
