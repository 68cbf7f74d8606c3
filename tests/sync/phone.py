"""A phone of the tests: makes records with gapless numbers and pushes them as the app does."""

from typing import Any

import msgspec

from api.database import Database
from api.records.clock import moment
from api.sync.push import push
from api.sync.wire import PushAnswers, read_batch

NOW = 1_775_000_000_000
DAY = 24 * 3600 * 1000
LISTS: list[tuple[str, str, dict[str, Any]]] = [
    ("settings", "settings", {"zone": "Europe/Lisbon"}),
    ("species.lobo", "species", {"name": "Lobophyllia hemprichii"}),
    ("method.band-saw", "method", {"name": "Band saw"}),
    ("base.hex-40", "base", {"name": "Hexagonal tile", "shape": "hexagon"}),
]


class Phone:
    """`skew` is its clock's error in ms; `now` is the true time of its next push."""

    def __init__(self, name: str, number: int = 1, skew: int = 0) -> None:
        self.name, self.number, self.skew = name, number, skew
        self.staff = "staff.one"
        self.made = 0
        self.ids = 0

    def id(self) -> str:
        """A UUIDv7 of this phone's own."""
        self.ids += 1
        return f"{NOW:012x}"[:8] + f"-{self.number:04x}-7000-8000-{self.ids:012x}"

    def make(self, kind: str, subject: tuple[str, str], body: Any, at: int = NOW) -> dict[str, Any]:
        """A record made at the true time `at`, stamped by this phone's own clock."""
        self.made += 1
        return {
            "id": self.id(), "kind": kind, "v": 1,
            "subject": {"kind": subject[0], "id": subject[1]},
            "observed": {"at": moment(at + self.skew), "offset": 60, "zone": "Europe/Lisbon"},
            "staff": self.staff, "device": self.name, "device_seq": self.made, "body": body,
        }  # fmt: skip

    def check(self, piece: str, at: int = NOW, **body: Any) -> dict[str, Any]:
        return self.make("check", ("piece", piece), body or {"mouth": "open"}, at)

    def batch(self, records: list[Any], now: int = NOW) -> bytes:
        return msgspec.json.encode(
            {"device": self.name, "sent": {"at": moment(now + self.skew)}, "records": records}
        )

    async def push(self, db: Database, records: list[Any], now: int = NOW) -> PushAnswers:
        return await push(db, read_batch(self.batch(records, now)), now)


async def begin(db: Database, pieces: int = 1, at: int = NOW - 40 * DAY) -> list[str]:
    """Lists, a mother, a cut and its glued pieces, as one device made them."""
    desk = Phone("desk", 0xFFFF)
    records = [
        desk.make("define", ("item", key), {"list": name, "fields": fields}, at)
        for key, name, fields in LISTS
    ]
    mother, cut = desk.id(), desk.id()
    arrival = {"line": "Amber", "species": "species.lobo", "origin": "wild"}
    records.append(desk.make("arrival", ("piece", mother), arrival, at))
    method = {"sitting": desk.id(), "mother": mother, "method": "method.band-saw"}
    records.append(desk.make("cut", ("cut", cut), method, at))
    found = [desk.id() for _ in range(pieces)]
    glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale"}
    records += [desk.make("glue", ("piece", piece), glue, at) for piece in found]
    answers = await desk.push(db, records)
    assert {answer.answer for answer in answers.answers} == {"stored"}
    return found


def fates(answers: PushAnswers) -> list[str]:
    """The answers' words, in the batch's order."""
    return [answer.answer for answer in answers.answers]


async def count(db: Database, table: str = "log") -> int:
    """How many rows a table has."""
    [row] = await db.rows(f"SELECT count(*) AS n FROM {table}")
    return int(row["n"])
