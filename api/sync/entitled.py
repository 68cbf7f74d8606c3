"""Whose records a push may put into the log, and why any other waits for a lead.

    device-revoked, person-revoked   signed out for good; this was still on the phone
    other-device                     made on a device that is not the one that sends
    other-person                     the author never held this device
    needs-lead                       a list was changed by somebody who is not a lead

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
"""So many undecided records are kept of one phone that was signed out: a stolen one must not fill
the disk. What is beyond stays on the phone."""


async def check_room(tx: Write, sender: Person) -> None:
    """Raises SignedOut where a phone signed out for good has sent enough."""
    if sender.revoked:
        [row] = await tx.rows(
            "SELECT COUNT(*) AS n FROM quarantine WHERE sender = ? AND fate IS NULL", sender.device
        )
        if row["n"] >= MOST_REVOKED:
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
    found: dict[str, Why] = {}
    for item in items:
        author = staff.get(item.staff)
        if item.device != sender.device:
            found[item.id] = "other-device"
        elif author is None or item.staff not in holders:
            found[item.id] = "other-person"
        elif author["left_at"] is not None:
            found[item.id] = "person-revoked"
        elif item.kind == "define" and not reaches(author["role"], "lead"):
            found[item.id] = "needs-lead"
    return found
