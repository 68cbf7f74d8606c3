"""Records that came before what they name: kept durably, released in the order they came."""

from api.database import Write
from api.records.batch import Batch, learn, missing_names, store
from api.records.kinds import BEGINS
from api.records.parse import Parsed, parse


async def hold(tx: Write, items: list[tuple[Parsed, int, list[tuple[str, str]]]], now: int) -> None:
    """Keep records with the first name each is waiting for. Each item: record, time, names."""
    await tx.many(
        "INSERT INTO held (id, waits_for, device, device_seq, at, received, digest, record) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (item.id, _name(missing[0]), item.device, item.device_seq, at, now, item.digest,
             item.text)
            for item, at, missing in items
        ],
    )  # fmt: skip


async def release(batch: Batch) -> None:
    """Store every held record whose last missing name is among those the batch has begun."""
    fresh = batch.stored
    while fresh:
        begun = {_name(name) for s in fresh for name in _begins(s.parsed)}
        rows = await batch.tx.rows_in("SELECT * FROM held WHERE waits_for IN (?)", begun)
        mark = len(batch.stored)
        for row in sorted(rows, key=lambda r: (r["received"], r["device"], r["device_seq"])):
            item = parse(row["record"].encode())
            assert isinstance(item, Parsed), "a held record was parsed before it was held"
            await learn(batch, [item])
            missing = missing_names(batch, item)
            if missing:
                await batch.tx.rows(
                    "UPDATE held SET waits_for = ? WHERE id = ? RETURNING id",
                    _name(missing[0]), item.id,
                )  # fmt: skip
            else:
                store(batch, item, row["at"])
                await batch.tx.rows("DELETE FROM held WHERE id = ? RETURNING id", item.id)
        fresh = batch.stored[mark:]


def _name(name: tuple[str, str]) -> str:
    return f"{name[0]}:{name[1]}"


def _begins(item: Parsed) -> list[tuple[str, str]]:
    names = [("record", item.id)]
    if begun := BEGINS.get(item.kind):
        names.append((begun, item.subject.id))
    return names
