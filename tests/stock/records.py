"""Making entries for tests: records as they go over the wire, with a corrected time."""

from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import msgspec

from api.records import kinds as k
from api.stock.fold import Entry
from api.stock.state import PieceState

Raw = dict[str, Any]
RawEntry = dict[str, Any]
"""{"at": corrected UTC ms, "record": raw record}"""

PIECE = "01890000-0000-7000-8000-00000000a001"
MOTHER = "01890000-0000-7000-8000-00000000a002"
CUT = "01890000-0000-7000-8000-00000000c001"
SITTING = "01890000-0000-7000-8000-00000000d001"


def record_id(number: int) -> str:
    """The id of the test record with this number; ids sort as their numbers do."""
    return f"01890000-0000-7000-8000-{number:012x}"


def ms(moment: str) -> int:
    """'2026-03-01 10:00' in UTC as milliseconds."""
    return round(datetime.fromisoformat(moment).replace(tzinfo=UTC).timestamp() * 1000)


def entry(
    number: int, at: int | str, kind: str, body: Raw, subject: tuple[str, str] = ("piece", PIECE)
) -> RawEntry:
    """One entry. `number` gives the record's id and so its place among those of one time."""
    when = ms(at) if isinstance(at, str) else at
    seen = datetime.fromtimestamp(when // 1000, UTC).strftime("%Y-%m-%dT%H:%M:%S")
    return {
        "at": when,
        "record": {
            "id": record_id(number),
            "kind": kind,
            "v": 1,
            "subject": {"kind": subject[0], "id": subject[1]},
            "observed": {"at": f"{seen}.{when % 1000:03d}Z", "offset": 300, "zone": "Etc/GMT-5"},
            "staff": "staff.ada",
            "device": "device.one",
            "device_seq": number,
            "body": body,
        },
    }


def decoded(entries: list[RawEntry]) -> list[Entry]:
    """Entries as the fold takes them; each record must fit the vocabulary."""
    return [Entry(e["at"], k.decode_record(msgspec.json.encode(e["record"]))) for e in entries]


@dataclass
class Case:
    """A case of the fold. `parts` are all fields of the expected state that are not at rest."""

    name: str
    entries: list[RawEntry]
    parts: Raw
    retracted: list[int] = field(default_factory=list)
    zone: str = "Indian/Maldives"

    @property
    def gone(self) -> set[str]:
        return {record_id(number) for number in self.retracted}

    @property
    def expected(self) -> PieceState:
        return PieceState(id=PIECE, **self.parts)
