"""Records as two phones would have made them, kept by day and pushed as the phones push."""

from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import msgspec

from api.database import Database
from api.demo.people import ZONE
from api.records.clock import moment
from api.records.uuid7 import uuid7
from api.sync.push import push
from api.sync.wire import MAX_RECORDS, read_batch

HOUR = 3_600_000


class Diary:
    """Collects records at their times; `send` numbers and pushes them in order."""

    def __init__(self, random: Random) -> None:
        self.random = random
        self.pages: dict[tuple[date, str], list[tuple[int, dict[str, Any]]]] = defaultdict(list)

    def id(self, at: int) -> str:
        """An id of that time, from the seeded random source."""
        return uuid7(at, self.random.getrandbits)

    def write(
        self, day: date, at: int, device: str, staff: str, kind: str,
        subject: tuple[str, str], body: Mapping[str, Any],
    ) -> str:  # fmt: skip
        """Note a record made at `at` (UTC ms) on `day`; returns its id."""
        record = self.id(at)
        offset = datetime.fromtimestamp(at / 1000, ZoneInfo(ZONE)).utcoffset()
        assert offset is not None
        self.pages[(day, device)].append((at, {
            "id": record, "kind": kind, "v": 1,
            "subject": {"kind": subject[0], "id": subject[1]},
            "observed": {"at": moment(at), "offset": int(offset.total_seconds() // 60),
                         "zone": ZONE},
            "staff": staff, "device": device, "device_seq": 0, "body": dict(body),
        }))  # fmt: skip
        return record

    async def send(self, db: Database) -> dict[str, int]:
        """Push every page in order of days, each in the evening; counts the answers."""
        numbers: dict[str, int] = defaultdict(int)
        counts: dict[str, int] = defaultdict(int)
        for (day, device), notes in sorted(self.pages.items()):
            notes.sort(key=lambda note: note[0])
            for _, record in notes:
                numbers[device] += 1
                record["device_seq"] = numbers[device]
            now = local(day, 21)
            for start in range(0, len(notes), MAX_RECORDS):
                part = [record for _, record in notes[start : start + MAX_RECORDS]]
                batch = {"device": device, "sent": {"at": moment(now)}, "records": part}
                answers = await push(db, read_batch(msgspec.json.encode(batch)), now)
                for answer in answers.answers:
                    counts[answer.answer] += 1
        return dict(counts)


def local(day: date, hour: float) -> int:
    """UTC milliseconds of an hour on the farm's clock, also on a day on which clocks change."""
    midnight = datetime(day.year, day.month, day.day, tzinfo=ZoneInfo(ZONE))
    # Adding to a time of one zone moves the hands of its clock.
    return round((midnight + timedelta(hours=hour)).timestamp() * 1000)
