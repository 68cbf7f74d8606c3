"""POST /api/sync/push: a batch of records, an answer for each.

Reading and checking come before the transaction; the counter row is held from the first look to
the commit; nothing is answered before the commit. A non-2xx answer decides no record's fate.
"""

import asyncio

from litestar import post
from litestar.di import NamedDependency
from litestar.params import JSONBody

from api.access.audit import note
from api.access.person import Person
from api.access.problems import NotHeld
from api.access.routes import BODY
from api.access.standing import sender_now
from api.database import Database, Write
from api.problems import BadBatch, SignedOut, TooMany, raises
from api.records.batch import Answer, Batch
from api.records.clock import Sent, milliseconds, moment, now_ms, settle_skew
from api.records.log import Clock, append, clock_of
from api.records.parse import Broken, Parsed, parse
from api.stock.claims import taken_codes
from api.stock.projection import project
from api.stock.state import PieceState
from api.sync import quarantine
from api.sync.entitled import Why, check_room, unentitled
from api.sync.wire import DeviceSeq, PushAnswer, PushAnswers, PushBatch, PushBody, ReadBatch

MISSING_SHOWN = 100


@post(
    "/api/sync/push",
    operation_id="push",
    rule="keeper",
    takes_revoked=True,
    status_code=200,
    dto=ReadBatch,
    return_dto=None,
    responses=raises(*BODY, SignedOut, NotHeld, BadBatch, TooMany),
)
async def push_route(
    data: JSONBody[PushBatch], db: NamedDependency[Database], person: NamedDependency[Person]
) -> PushAnswers:
    """Take a batch of records. Those that their sender is not entitled to send are answered
    `later` and held until a lead admits them, even where the sender was signed out for good."""
    batch: PushBody = data  # type: ignore[assignment]  # read as raw records, documented typed
    return await push(db, batch, sender=person)


async def push(
    db: Database,
    body: PushBody,
    now: int | None = None,
    *,
    sender: Person | None = None,
    taken_in: bool = False,
) -> PushAnswers:
    """Append a batch, bring the projection up to date, commit, and answer.

    now       for tests
    sender    who sends; None where the farm's own programs do, whose records need no leave
    taken_in  the records come from a saved file: all of them wait for a lead
    """
    items = [parse(bytes(raw)) for raw in body.records]
    arrived = now if now is not None else now_ms()
    try:
        sent = Sent(milliseconds(body.sent.at), body.sent.session, body.sent.tick)
    except ValueError as error:
        raise BadBatch(
            f"'sent.at' is no time: {error}. No record was taken; all stay on the device."
        ) from error
    return await asyncio.shield(_commit(db, body, items, sent, arrived, sender, taken_in))


async def _commit(
    db: Database,
    body: PushBody,
    items: list[Parsed | Broken],
    sent: Sent,
    now: int,
    sender: Person | None,
    taken_in: bool,
) -> PushAnswers:
    """Shielded from a client that hangs up: a batch is taken whole or not at all."""
    device = body.device
    own = not taken_in and (sender is None or sender.device == device)
    async with db.write() as tx:
        if sender and not taken_in:
            sender = await sender_now(tx, sender)
        # A file's clock was read when it was saved, which may be days ago: it measures nothing.
        skew, gapless, highest = await _device(tx, device, None if taken_in else sent.at, now)
        clock = clock_of(sent, skew, now)
        waits = await _waits(tx, sender, items, taken_in)
        answers = await _quarantine(tx, sender, items, waits, clock, now)
        if taken_in and sender:
            await note(tx, now, "taken-in", who=sender.staff, device=sender.device, about=device,
                       count=len(answers))  # fmt: skip
        from_device = device if own or sender is None else sender.device
        batch = await append(tx, from_device, [item for index, item in enumerate(items)
                                          if index not in answers], clock, now)  # fmt: skip
        states = await project(tx, batch.stored, batch.seq)
        _note_flags(batch, states)
        await _note_codes(tx, batch, states)
        device_seq = DeviceSeq(0, [])
        if own:
            device_seq, gapless = await _gaps(tx, device, gapless, highest, items)
            await _save_device(tx, device, skew, gapless, device_seq.highest)
    places = [index for index in range(len(items)) if index not in answers]
    answers |= {index: batch.answers[place] for place, index in enumerate(places)}
    found = [_answer(answers[index], index) for index in range(len(items))]
    return PushAnswers(db.epoch, moment(now), skew, found, device_seq)


async def _waits(
    tx: Write, sender: Person | None, items: list[Parsed | Broken], taken_in: bool
) -> dict[str, Why]:
    sound = [item for item in items if isinstance(item, Parsed)]
    if taken_in:
        return {item.id: "taken-in" for item in sound}
    if sender is None:
        return {}
    await check_room(tx, sender)
    return await unentitled(tx, sender, sound)


async def _quarantine(
    tx: Write,
    sender: Person | None,
    items: list[Parsed | Broken],
    waits: dict[str, Why],
    clock: Clock,
    now: int,
) -> dict[int, Answer]:
    if sender is None or not waits:
        return {}
    waiting = [
        (index, item, waits[item.id])
        for index, item in enumerate(items)
        if isinstance(item, Parsed) and item.id in waits
    ]
    return await quarantine.keep(tx, sender.device, waiting, clock, now)


def _answer(answer: Answer, index: int) -> PushAnswer:
    return PushAnswer(
        answer.id, index, answer.answer, answer.seq, answer.at, answer.problem, answer.notes
    )


async def _device(tx: Write, device: str, sent_at: int | None, now: int) -> tuple[int, int, int]:
    rows = await tx.rows("SELECT * FROM device_clock WHERE device = ?", device)
    known = rows[0] if rows else {"skew": 0, "gapless": 0, "highest": 0}
    skew = known["skew"] if sent_at is None else settle_skew(known["skew"], sent_at, now)
    return skew, known["gapless"], known["highest"]


async def _save_device(tx: Write, device: str, skew: int, gapless: int, highest: int) -> None:
    await tx.many(
        "INSERT INTO device_clock (device, skew, gapless, highest) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (device) DO UPDATE SET skew = excluded.skew, gapless = excluded.gapless, "
        "highest = excluded.highest",
        [(device, skew, gapless, highest)],
    )


_QUARANTINED = "(SELECT device, device_seq FROM quarantine WHERE sender = device) AS quarantined"


async def _gaps(
    tx: Write, device: str, gapless: int, highest: int, items: list[Parsed | Broken]
) -> tuple[DeviceSeq, int]:
    """Which numbers of the device's run have not come yet, as far as the highest that has."""
    own = [i.device_seq for i in items if isinstance(i, Broken) or i.device == device]
    highest = max([highest, *(seq for seq in own if seq is not None)])
    came: set[int] = set()
    for table in ("log", "held", "refused", _QUARANTINED):
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
    "cut-before-begun": "Kept, but this cut is dated before its mother had arrived or was glued.",
    "cut-after-loss": "Kept, but the mother of this cut had been recorded lost.",
    "cut-after-exit": "Kept, but the mother of this cut had left already.",
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
