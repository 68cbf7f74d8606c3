"""10,000 records pushed, the projection counted, against raw inserts of the same rows."""

import asyncio
import tempfile
import time
from pathlib import Path
from typing import Any

from api.database import Database, open_database
from tests.bench.measure import Measure
from tests.sync.phone import DAY, LISTS, NOW, Phone

BATCH, RECORDS, PIECES = 500, 10_000, 500
COLUMNS = (
    "id", "seq", "kind", "subject", "piece", "staff", "device", "device_seq", "at", "received",
    "digest", "record",
)  # fmt: skip


def work() -> list[dict[str, Any]]:
    """A farm's records: lists, cuts and gluing, then rounds of checks over all pieces."""
    phone, start = Phone("phone"), NOW - 60 * DAY
    records = [phone.make("define", ("item", key), {"list": name, "fields": fields}, start)
               for key, name, fields in LISTS]  # fmt: skip
    mother, cut = phone.id(), phone.id()
    records.append(phone.make("arrival", ("piece", mother), {
        "line": "Amber", "species": "species.lobo", "origin": "wild"}, start))  # fmt: skip
    records.append(phone.make("cut", ("cut", cut), {
        "sitting": phone.id(), "mother": mother, "method": "method.band-saw"}, start))  # fmt: skip
    pieces = [phone.id() for _ in range(PIECES)]
    glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale", "encrustation": 0}
    records += [phone.make("glue", ("piece", piece), glue, start + n)
                for n, piece in enumerate(pieces)]  # fmt: skip
    at = start + DAY
    while len(records) < RECORDS:
        for piece in pieces:
            at += 1000
            records.append(phone.check(piece, at, mouth="bud", encrustation=1, recession="none"))
    return records[:RECORDS]


async def _push(folder: Path, batches: list[list[Any]]) -> tuple[float, list[tuple[Any, ...]]]:
    db, phone = await open_database(folder / "push.sqlite"), Phone("phone")
    from api.sync.push import push
    from api.sync.wire import read_batch

    bodies = [phone.batch(batch) for batch in batches]
    start = time.perf_counter()
    for body in bodies:
        await push(db, read_batch(body), NOW)
    spent = time.perf_counter() - start
    rows = await db.rows("SELECT * FROM log ORDER BY seq")
    assert len(rows) == RECORDS
    await db.close()
    return spent, [tuple(row[name] for name in COLUMNS) for row in rows]


async def _insert(folder: Path, rows: list[tuple[Any, ...]], *, one_by_one: bool) -> float:
    db: Database = await open_database(folder / f"raw-{one_by_one}.sqlite")
    marks = ",".join("?" * len(COLUMNS))
    sql = f"INSERT INTO log ({','.join(COLUMNS)}) VALUES ({marks})"
    start = time.perf_counter()
    for first in range(0, len(rows), BATCH):
        async with db.write() as tx:
            if one_by_one:
                for row in rows[first : first + BATCH]:
                    await tx.rows(sql, *row)
            else:
                await tx.many(sql, rows[first : first + BATCH])
    spent = time.perf_counter() - start
    await db.close()
    return spent


async def _all() -> tuple[float, float, float]:
    records = work()
    batches = [records[n : n + BATCH] for n in range(0, RECORDS, BATCH)]
    pushed, inserted, singly = [], [], []
    for _ in range(3):
        with tempfile.TemporaryDirectory() as folder:
            spent, rows = await _push(Path(folder), batches)
            pushed.append(spent)
            inserted.append(await _insert(Path(folder), rows, one_by_one=False))
            singly.append(await _insert(Path(folder), rows, one_by_one=True))
    return min(pushed), min(inserted), min(singly)


def measures() -> list[Measure]:
    """The ratio of raw inserts' time to push's, best of three interleaved runs of each."""
    pushed, inserted, singly = asyncio.run(_all())
    return [
        Measure("raw inserts / 10,000 pushed", inserted / pushed, 0.5, "x", "higher"),
        Measure("raw inserts, a statement a row / pushed", singly / pushed, None, "x", "higher"),
        Measure("pushed with projection", RECORDS / pushed, None, "records/s", "higher"),
        Measure("raw inserts of the same rows", RECORDS / inserted, None, "rows/s", "higher"),
    ]
