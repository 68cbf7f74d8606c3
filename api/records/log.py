"""Appending to the log: each record once, in commit order, with an answer for each.

    stored     it has its `seq`
    duplicate  the same record was stored before: the same `seq` again
    later      it names something not yet known; held durably, released when that arrives
    refused    it cannot be taken: kept in quarantine with the problem, its neighbours go on

The caller's transaction commits before anything is answered.
"""

from collections.abc import Callable, Sequence

import msgspec

from api.database import Row, Write
from api.records import kinds as k
from api.records.batch import Answer, Batch, learn, missing_names, store
from api.records.clock import FLAG_MS, Corrected, Sent, correct
from api.records.held import hold, release
from api.records.parse import Broken, Parsed
from api.records.problem import problem

Clock = Callable[[Parsed, Answer], Corrected]
"""When a record was really made; what is to be said of its clock goes into the answer's notes."""


def clock_of(sent: Sent, skew: int, now: int) -> Clock:
    """The times of records just sent by a device whose clock is off by `skew`."""
    return lambda item, answer: _time(item, sent, skew, now, answer)


async def append(
    tx: Write, device: str, items: Sequence[Parsed | Broken], clock: Clock, now: int
) -> Batch:
    """Append a batch sent by `device` inside `tx`, which holds the counter row to the commit."""
    batch = Batch(tx, now, tx.seq)
    seen = await _already(tx, items)
    waiting: dict[str, tuple[int, Parsed, int]] = {}
    await learn(batch, [item for item in items if isinstance(item, Parsed)])
    for index, item in enumerate(items):
        answer = batch.answers[index] = _judge(batch, index, item, seen)
        if answer.answer != "stored":
            continue
        assert isinstance(item, Parsed)
        corrected = clock(item, answer)
        seen[item.id] = {"digest": item.digest, "seq": None, "at": corrected.at, "index": index}
        if missing_names(batch, item):
            answer.answer = "later"
            waiting[item.id] = (index, item, corrected.at)
        else:
            answer.seq, answer.at = store(batch, item, corrected.at), corrected.at
    await _release_in_batch(batch, waiting)
    await _hold_the_rest(batch, waiting)
    await release(batch)
    await _write(batch, device, items)
    return batch


async def _already(tx: Write, items: Sequence[Parsed | Broken]) -> dict[str, Row]:
    ids = {item.id for item in items if isinstance(item, Parsed)}
    rows = await tx.rows_in("SELECT id, digest, seq, at FROM log WHERE id IN (?)", ids)
    rows += await tx.rows_in("SELECT id, digest, NULL AS seq, at FROM held WHERE id IN (?)", ids)
    return {row["id"]: row for row in rows}


def _judge(batch: Batch, index: int, item: Parsed | Broken, seen: dict[str, Row]) -> Answer:
    if isinstance(item, Broken):
        return Answer(index, item.id, "refused", problem=item.problem)
    if (before := seen.get(item.id)) is None:
        if isinstance(item.record, k.Retract):
            kind, _ = batch.record_pieces.get(item.subject.id, ("", None))
            if kind == "retract":
                return Answer(index, item.id, "refused", problem=_RETRACT_TWICE)
        return Answer(index, item.id, "stored")
    if before["digest"] != item.digest:
        return Answer(index, item.id, "refused", problem=_ID_REUSED)
    if (first := before.get("index")) is not None:
        twin = batch.answers[first]
        return Answer(index, item.id, "later" if twin.answer == "later" else "duplicate",
                      twin.seq, twin.at)  # fmt: skip
    if before["seq"] is None:
        return Answer(index, item.id, "later", at=before["at"])
    return Answer(index, item.id, "duplicate", before["seq"], before["at"])


def _time(item: Parsed, sent: Sent, skew: int, now: int, answer: Answer) -> Corrected:
    corrected = correct(item.observed, sent, skew, now)
    if corrected.beyond is not None:
        where = "in the future" if corrected.beyond == "future" else "before the year 2000"
        answer.notes.append(
            f"This record was dated {where}. It is kept with the time it arrived; "
            "set the phone's clock, and retract the record if the time matters."
        )
    elif abs(skew) > FLAG_MS:
        answer.notes.append(
            f"This phone's clock is {abs(skew) // 60_000} minutes "
            f"{'ahead' if skew > 0 else 'behind'}. The times were corrected; set the clock."
        )
    return corrected


async def _release_in_batch(batch: Batch, waiting: dict[str, tuple[int, Parsed, int]]) -> None:
    """A check sent before its glue, in one batch: stored as soon as the glue is."""
    moved = True
    while moved:
        moved = False
        for key, (index, item, at) in list(waiting.items()):
            if not missing_names(batch, item):
                del waiting[key]
                answer = batch.answers[index]
                answer.answer, answer.seq, answer.at = "stored", store(batch, item, at), at
                moved = True


async def _hold_the_rest(batch: Batch, waiting: dict[str, tuple[int, Parsed, int]]) -> None:
    held = []
    for index, item, at in waiting.values():
        missing = missing_names(batch, item)
        batch.answers[index].notes.append(_waits(missing))
        held.append((item, at, missing))
    await hold(batch.tx, held, batch.now)


async def _write(batch: Batch, device: str, items: Sequence[Parsed | Broken]) -> None:
    rows = [
        (p.id, s.seq, p.kind, p.subject.id, s.piece, p.staff, p.device, p.device_seq, s.at,
         batch.now, p.digest, p.text)
        for s in batch.stored for p in (s.parsed,)
    ]  # fmt: skip
    await batch.tx.many(
        "INSERT INTO log (id, seq, kind, subject, piece, staff, device, device_seq, at, received, "
        "digest, record) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        rows,
    )
    quarantine = [
        (item.digest, item.id, device, item.device_seq, batch.now,
         msgspec.json.encode(answer.problem).decode(), item.text)
        for index, item in enumerate(items)
        if (answer := batch.answers[index]).answer == "refused"
    ]  # fmt: skip
    await batch.tx.many(
        "INSERT INTO refused (digest, record_id, device, device_seq, received, problem, record) "
        "VALUES (?, ?, ?, ?, ?, ?, ?) ON CONFLICT (digest) DO NOTHING",
        quarantine,
    )
    await batch.tx.set_counter(batch.seq)


def _waits(missing: list[tuple[str, str]]) -> str:
    kind, key = missing[0]
    what = {"item": "list entry", "record": "record"}.get(kind, kind)
    return f"Held safely until the {what} it names ({key}) arrives here."


_ID_REUSED = problem(
    "id-reused", 409, "Another record already has this id.",
    "The first one stands and this one is kept in quarantine. Record the thing again.",
)  # fmt: skip
_RETRACT_TWICE = problem(
    "retract-of-retract", 422, "A retraction cannot itself be retracted.",
    "Record the thing again instead; both retractions are kept.",
)  # fmt: skip
