"""Quarantine: sound records that their sender was not entitled to send, until a lead decides.

They are durably held, so the phone may count them as delivered; they are in nobody's log and in
no fold. Admitted, they enter the log with their own author, device and time, as if they had come
the usual way. Set aside, they stay here for good.
"""

from collections.abc import Sequence

import msgspec
from msgspec import Struct

from api.access.audit import What, note
from api.access.person import Person
from api.database import CHUNK, Database, Write
from api.records.batch import Answer, Outcome
from api.records.clock import Corrected
from api.records.fields import Key
from api.records.log import Clock, append
from api.records.parse import Parsed, parse
from api.records.problem import Problem
from api.stock.projection import project
from api.sync.entitled import Why

NOTES: dict[Why, str] = {
    "device-revoked": "This phone was signed out for good.",
    "person-revoked": "Its author was signed out for good.",
    "other-device": "It was made on another device than the one that sent it.",
    "other-person": "Its author has never held this device.",
    "needs-lead": "Only a lead changes lists.",
    "taken-in": "It came from a saved file.",
}


ASIDE = """
SELECT DISTINCT record_id AS id FROM quarantine WHERE record_id IN (?) AND fate = 'set-aside'
AND NOT EXISTS (SELECT 1 FROM log WHERE log.id = quarantine.record_id)
"""


class WaitingGroup(Struct, frozen=True):
    """What waits from one person on one device for one reason. Times are UTC ms."""

    device: Key
    device_name: str | None
    staff: Key
    staff_name: str | None
    why: Why
    count: int
    set_aside: int
    first_at: int
    last_at: int
    kinds: dict[str, int]


class Which(Struct, frozen=True, forbid_unknown_fields=True):
    """Names a group."""

    device: Key
    staff: Key
    why: Why


class Refused(Struct, frozen=True):
    """A record that could not be taken at all, with the problem that its phone was told."""

    digest: str
    record_id: str | None
    device: str
    received: int
    problem: Problem


async def keep(
    tx: Write, sender: str, items: list[tuple[int, Parsed, Why]], clock: Clock, now: int
) -> dict[int, Answer]:
    """Hold records, each with its place in the batch: the answers by that place.

    One that is in the log already, from before, is answered as what it is.
    """
    known = await tx.rows_in("SELECT id, digest, seq, at FROM log WHERE id IN (?)",
                             [item.id for _, item, _ in items])  # fmt: skip
    logged = {row["id"]: row for row in known}
    answers: dict[int, Answer] = {}
    rows = []
    for index, item, why in items:
        answer = answers[index] = Answer(index, item.id, "later")
        row = logged.get(item.id)
        if row is not None and row["digest"] == item.digest:
            answers[index] = Answer(index, item.id, "duplicate", row["seq"], row["at"])
            continue
        answer.at = clock(item, answer).at
        answer.notes.append(f"{NOTES[why]} It is held safely until a lead admits it.")
        rows.append((item.digest, item.id, item.device, item.staff, sender, why, item.kind,
                     item.device_seq, answer.at, now, item.text))  # fmt: skip
    await tx.many(
        "INSERT INTO quarantine (digest, record_id, device, staff, sender, why, kind, device_seq, "
        "at, received, record) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) "
        "ON CONFLICT (digest) DO NOTHING",
        rows,
    )
    return answers


async def groups(db: Database) -> list[WaitingGroup]:
    """What waits for a lead, the longest waiting first; what was set aside is counted with it."""
    rows = await db.rows(
        "SELECT q.device, q.staff, q.why, q.kind, COUNT(*) AS n, MIN(q.at) AS first_at, "
        "MAX(q.at) AS last_at, MIN(q.received) AS came, d.name AS device_name, "
        "p.name AS staff_name, SUM(CASE WHEN q.fate = 'set-aside' THEN 1 ELSE 0 END) AS aside "
        "FROM quarantine q LEFT JOIN device d ON d.id = q.device "
        "LEFT JOIN staff p ON p.id = q.staff WHERE q.fate IS NULL OR q.fate = 'set-aside' "
        "GROUP BY q.device, q.staff, q.why, q.kind, d.name, p.name "
        "ORDER BY came, q.device, q.staff, q.why, q.kind"
    )
    found: dict[tuple[str, str, str], WaitingGroup] = {}
    for row in rows:
        key = (row["device"], row["staff"], row["why"])
        before = found.get(key)
        found[key] = WaitingGroup(
            row["device"], row["device_name"], row["staff"], row["staff_name"], row["why"],
            row["n"] - row["aside"] + (before.count if before else 0),
            row["aside"] + (before.set_aside if before else 0),
            min(row["first_at"], before.first_at if before else row["first_at"]),
            max(row["last_at"], before.last_at if before else row["last_at"]),
            (before.kinds if before else {}) | {row["kind"]: row["n"]},
        )  # fmt: skip
    return list(found.values())


async def admit(db: Database, by: Person, which: Which, now: int) -> dict[Outcome, int]:
    """Put a group into the log, in the order its records were made: how many fared how.

    Committed a chunk at a time, so a long one holds nobody up; said again, it goes on.
    """
    fates: dict[Outcome, int] = {"stored": 0, "duplicate": 0, "later": 0, "refused": 0}
    while True:
        async with db.write() as tx:
            answers = await _admit_some(tx, by, which, now)
            if not answers:
                return fates
            await _note(tx, by, "admitted", which, len(answers), now)
        for answer in answers:
            fates[answer.answer] += 1


async def set_aside(db: Database, by: Person, which: Which, now: int) -> int:
    """Leave a group out for good, unless a lead admits it later: how many that are."""
    async with db.write() as tx:
        rows = await tx.rows(
            "UPDATE quarantine SET fate = 'set-aside', decided_by = ?, decided_at = ? "
            "WHERE device = ? AND staff = ? AND why = ? AND fate IS NULL RETURNING digest",
            by.staff, now, which.device, which.staff, which.why,
        )  # fmt: skip
        await _note(tx, by, "set-aside", which, len(rows), now)
    return len(rows)


async def which_aside(db: Database, ids: Sequence[str]) -> list[str]:
    """Of these records, those that a lead has set aside, so that they stop counting where they
    were made."""
    rows = await db.rows_in(ASIDE, ids)
    return sorted(row["id"] for row in rows)


async def refused(db: Database, limit: int) -> tuple[list[Refused], int]:
    """The last records that could not be taken at all, and how many there are."""
    rows = await db.rows(
        "SELECT digest, record_id, device, received, problem FROM refused "
        "ORDER BY received DESC, digest LIMIT ?", limit,
    )  # fmt: skip
    [total] = await db.rows("SELECT COUNT(*) AS n FROM refused")
    read = msgspec.json.Decoder(Problem).decode
    found = [
        Refused(row["digest"], row["record_id"], row["device"], row["received"],
                read(row["problem"]))
        for row in rows
    ]  # fmt: skip
    return found, total["n"]


async def _admit_some(tx: Write, by: Person, which: Which, now: int) -> list[Answer]:
    rows = await tx.rows(
        "SELECT digest, sender, at, record FROM quarantine WHERE device = ? AND staff = ? "
        "AND why = ? AND (fate IS NULL OR fate = 'set-aside') ORDER BY device_seq, digest LIMIT ?",
        which.device, which.staff, which.why, CHUNK,
    )  # fmt: skip
    items = [parse(row["record"].encode()) for row in rows]
    times = {item.id: row["at"] for item, row in zip(items, rows, strict=True)}
    batch = await append(
        tx, which.device, items, lambda item, _answer: Corrected(times[item.id]), now
    )
    await project(tx, batch.stored, batch.seq)
    await tx.many(
        "UPDATE quarantine SET fate = 'admitted', decided_by = ?, decided_at = ? WHERE digest = ?",
        [(by.staff, now, row["digest"]) for row in rows],
    )
    return list(batch.answers.values())


async def _note(tx: Write, by: Person, what: What, which: Which, count: int, now: int) -> None:
    await note(tx, now, what, who=by.staff, device=by.device,
               about=which.device, staff=which.staff, why=which.why, count=count)  # fmt: skip
