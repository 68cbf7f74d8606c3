"""Whose records a push may put into the log, and why any other waits for a lead.

    device-revoked, person-revoked   signed out for good; this was still on the phone
    other-device                     made on a device that is not the one that sends
    other-person                     the author never held this device
    needs-lead                       a list was changed, or a change of one taken back, and author
                                     and sender are not both leads

Nothing is refused here: what is not entitled is kept whole, and a lead decides.
"""

from typing import Literal

from api.access.person import Person
from api.access.rules import reaches
from api.database import Write
from api.problems import SignedOut
from api.records.parse import Parsed

Why = Literal[
    "device-revoked", "person-revoked", "other-device", "other-person", "needs-lead", "taken-in"
]


MOST_REVOKED = 20_000
"""So many records are kept of one phone that was signed out: a stolen one must not fill
the disk. What is beyond stays on the phone."""


MOST_REVOKED_BYTES = 50_000_000


async def check_room(tx: Write, sender: Person) -> None:
    """Raises SignedOut where a phone signed out for good has sent enough."""
    if sender.revoked:
        [row] = await tx.rows(
            "SELECT COUNT(*) AS n, COALESCE(SUM(LENGTH(record)), 0) AS size FROM "
            "(SELECT record FROM quarantine WHERE sender = ? UNION ALL "
            "SELECT record FROM refused WHERE device = ?) AS held",
            sender.device, sender.device,
        )  # fmt: skip
        if row["n"] >= MOST_REVOKED or row["size"] >= MOST_REVOKED_BYTES:
            raise SignedOut


async def unentitled(tx: Write, sender: Person, items: list[Parsed]) -> dict[str, Why]:
    """By record id, why it must wait; those that need not are left out."""
    if sender.revoked:
        return {item.id: sender.revoked for item in items}
    held = await tx.rows("SELECT staff FROM holding WHERE device = ?", sender.device)
    holders = {row["staff"] for row in held}
    rows = await tx.rows_in(
        "SELECT id, role, left_at FROM staff WHERE id IN (?)", {item.staff for item in items}
    )
    staff = {row["id"]: row for row in rows}
    lists = await _of_lists(tx, items)
    found: dict[str, Why] = {}
    for item in items:
        author = staff.get(item.staff)
        if item.device != sender.device:
            found[item.id] = "other-device"
        elif author is None or item.staff not in holders:
            found[item.id] = "other-person"
        elif author["left_at"] is not None:
            found[item.id] = "person-revoked"
        elif item.id in lists and not (
            reaches(author["role"], "lead") and reaches(sender.role, "lead")
        ):
            found[item.id] = "needs-lead"
    return found


async def _of_lists(tx: Write, items: list[Parsed]) -> set[str]:
    """Those that change a list: entries, and retractions of entries or of what is not known here
    and so might be one."""
    targets = {item.subject.id for item in items if item.kind == "retract"}
    kinds = {item.id: item.kind for item in items}
    for row in await tx.rows_in("SELECT id, kind FROM log WHERE id IN (?)", targets):
        kinds[row["id"]] = row["kind"]
    for row in await tx.rows_in(
        "SELECT record_id AS id, kind FROM quarantine WHERE record_id IN (?)", targets
    ):
        kinds[row["id"]] = row["kind"]
    for row in await tx.rows_in("SELECT id, record FROM held WHERE id IN (?)", targets):
        kinds[row["id"]] = "define" if '"kind":"define"' in row["record"] else "other"
    return {
        item.id
        for item in items
        if item.kind == "define"
        or (item.kind == "retract" and kinds.get(item.subject.id, "define") == "define")
    }
