"""Writing the starter lists into a new facility, through the same push as everything else."""

import os
import secrets
from pathlib import Path

import msgspec

from api.database import Database
from api.records.clock import moment, now_ms
from api.records.uuid7 import uuid7
from api.records.zones import is_zone
from api.stock.lists import DEFAULT_ZONE
from api.stock.starter import starter_items
from api.sync.push import push
from api.sync.wire import read_batch

DEVICE = "device.server"


async def write_first_lists(db: Database, staff: str, zone: str | None = None) -> bool:
    """Give a facility without any record its first lists. False if it had records."""
    if await db.rows("SELECT 1 AS one FROM log LIMIT 1"):
        return False
    now = now_ms()
    where = zone or machine_zone()
    records = [
        {
            "id": uuid7(now + number, secrets.randbits), "kind": "define", "v": 1,
            "subject": {"kind": "item", "id": key},
            "observed": {"at": moment(now), "offset": 0, "zone": "UTC"},
            "staff": staff, "device": DEVICE, "device_seq": number + 1,
            "body": {"list": name, "fields": fields},
        }
        for number, (key, name, fields) in enumerate(starter_items(where))
    ]  # fmt: skip
    batch = {"device": DEVICE, "sent": {"at": moment(now)}, "records": records}
    await push(db, read_batch(msgspec.json.encode(batch)), now)
    return True


def machine_zone() -> str:
    """The IANA name of this machine's zone as far as it can be told, else UTC."""
    parts = Path("/etc/localtime").resolve().parts
    found = "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else ""
    for name in (os.environ.get("TZ", ""), found):
        if name and is_zone(name):
            return name
    return DEFAULT_ZONE
