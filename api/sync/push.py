"""POST /api/sync/push: a batch of records, an answer for each.

Reading and checking come before the transaction; the counter row is held from the first look to
the commit; nothing is answered before the commit. A non-2xx answer decides no record's fate.
"""

import asyncio

from litestar import post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.access.person import Person
from api.database import Database, Write
from api.problems import (
    BadBatch,
    NotJson,
    OtherDevice,
    SignedOut,
    TooLarge,
    TooMany,
    WrongMedia,
    raises,
)
from api.records.batch import Answer, Batch
from api.records.clock import Sent, milliseconds, moment, now_ms, settle_skew
from api.records.log import append
from api.records.parse import Broken, Parsed, parse
from api.stock.claims import taken_codes
from api.stock.projection import project
from api.stock.state import PieceState
from api.sync.wire import DeviceSeq, PushAnswer, PushAnswers, PushBatch, PushBody, ReadBatch

MISSING_SHOWN = 100


@post(
    "/api/sync/push",
    operation_id="push",
    status_code=200,
    dto=ReadBatch,
    return_dto=None,
    responses=raises(NotJson, BadBatch, SignedOut, OtherDevice, TooLarge, TooMany, WrongMedia),
)
async def push_route(
    data: JSONBody[PushBatch], db: NamedDependency[Database], person: NamedDependency[Person]
) -> PushAnswers:
    """Take a batch of records made on this device."""
    batch: PushBody = data  # type: ignore[assignment]  # read as raw records, documented typed
    if batch.device != person.device:
        raise OtherDevice
    return await push(db, batch)


async def push(db: Database, body: PushBody, now: int | None = None) -> PushAnswers:
    """Append a batch, bring the projection up to date, commit, and answer. `now` is for tests."""
    items = [parse(bytes(raw)) for raw in body.records]
    arrived = now if now is not None else now_ms()
    try:
        sent = Sent(milliseconds(body.sent.at), body.sent.session, body.sent.tick)
    except ValueError as error:
        raise BadBatch(f"'sent.at' is no time: {error}. No record was taken.") from error
    return await asyncio.shield(_commit(db, body.device, items, sent, arrived))


async def _commit(
    db: Database, device: str, items: list[Parsed | Broken], sent: Sent, now: int
) -> PushAnswers:
    """Shielded from a client that hangs up: a batch is taken whole or not at all."""
    async with db.write() as tx:
        skew, gapless, highest = await _device(tx, device, sent.at, now)
        batch = await append(tx, device, items, sent, skew, now)
        states = await project(tx, batch.stored, batch.seq)
        _note_flags(batch, states)
        await _note_codes(tx, batch, states)
        device_seq, gapless = await _gaps(tx, device, gapless, highest, items)
        await _save_device(tx, device, skew, gapless, device_seq.highest)
    answers = [_answer(batch.answers[index]) for index in range(len(items))]
    return PushAnswers(db.epoch, moment(now), skew, answers, device_seq)


def _answer(answer: Answer) -> PushAnswer:
    return PushAnswer(
        answer.id, answer.index, answer.answer, answer.seq, answer.at, answer.problem, answer.notes
    )


async def _device(tx: Write, device: str, sent_at: int, now: int) -> tuple[int, int, int]:
    rows = await tx.rows("SELECT * FROM device_clock WHERE device = ?", device)
    known = rows[0] if rows else {"skew": 0, "gapless": 0, "highest": 0}
    return settle_skew(known["skew"], sent_at, now), known["gapless"], known["highest"]


async def _save_device(tx: Write, device: str, skew: int, gapless: int, highest: int) -> None:
    await tx.many(
        "INSERT INTO device_clock (device, skew, gapless, highest) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (device) DO UPDATE SET skew = excluded.skew, gapless = excluded.gapless, "
        "highest = excluded.highest",
        [(device, skew, gapless, highest)],
    )


async def _gaps(
    tx: Write, device: str, gapless: int, highest: int, items: list[Parsed | Broken]
) -> tuple[DeviceSeq, int]:
    """Which numbers of the device's run have not come yet, as far as the highest that has."""
    own = [i.device_seq for i in items if isinstance(i, Broken) or i.device == device]
    highest = max([highest, *(seq for seq in own if seq is not None)])
    came: set[int] = set()
    for table in ("log", "held", "refused"):
        rows = await tx.rows(
            f"SELECT device_seq FROM {table} WHERE device = ? AND device_seq > ?", device, gapless
        )
        came.update(row["device_seq"] for row in rows)
    while gapless + 1 in came:
        gapless += 1
    missing: list[int] = []
    for seq in range(gapless + 1, highest):
        if len(missing) == MISSING_SHOWN:
            break
        if seq not in came:
            missing.append(seq)
    return DeviceSeq(highest, missing), gapless


_FLAG_NOTES = {
    "before-glue": "Kept, but it is dated before its piece was glued, so it counts for nothing.",
    "begun-twice": "Kept, but the piece had already been glued or had arrived: that one stands.",
    "after-exit": "Kept, but it is dated after the piece had left, so it counts for nothing.",
    "seen-after-loss": "The piece had been recorded lost; it counts as alive again.",
    "ready-after-loss": "The piece had been recorded lost; it counts as ready.",
    "moves-at-once": "Two moves bear the same time; the one with the higher id stands.",
}


def _note_flags(batch: Batch, states: dict[str, PieceState]) -> None:
    """Tell the sender at once which of its records disagree with others."""
    answers = _stored(batch)
    for state in states.values():
        for flag in state.flags:
            if (answer := answers.get(flag.record)) is not None:
                answer.notes.append(_FLAG_NOTES[flag.what] + " See Needs a look.")


async def _note_codes(tx: Write, batch: Batch, states: dict[str, PieceState]) -> None:
    answers = _stored(batch)
    for claim in await taken_codes(tx, states):
        if (answer := answers.get(claim.record)) is not None:
            answer.notes.append(
                f"The label {claim.code} is already on another piece. This piece is kept, "
                "without a label; bind another one to it. See Needs a look."
            )


def _stored(batch: Batch) -> dict[str | None, Answer]:
    return {a.id: a for a in batch.answers.values() if a.answer == "stored"}


routes = [push_route]
