"""Sessions: one person on one device, opened by a link and named by a cookie.

A session ends after 30 days unused or 180 days in all. The cookie itself lives on in the browser:
its old, ended session opens nothing but proves the device, so that a phone with unsent records
is the same device when its person signs in again.
"""

from typing import Any

from api.access.person import Person
from api.access.tables import Device, Session
from api.access.tokens import digest, new_key, new_token
from api.database import Database, Write
from api.problems import LinkExpired, LinkUnknown, LinkUsed

DAY_MS = 24 * 3600 * 1000
IDLE_MS = 30 * DAY_MS
ABSOLUTE_MS = 180 * DAY_MS
TOUCH_MS = 3600 * 1000
"""How old `seen_at` may be: writing it at every request would make every read a write."""

_FIND = """
SELECT s.staff, s.device, s.seen_at, p.name, p.role, d.name AS device_name
FROM session s JOIN staff p ON p.id = s.staff JOIN device d ON d.id = s.device
WHERE s.digest = ? AND s.ended_at IS NULL AND s.seen_at > ? AND s.made_at > ?
AND p.left_at IS NULL AND d.removed_at IS NULL
"""
_LINK = """
SELECT l.staff, l.expires_at, l.used_at, l.reusable
FROM link l JOIN staff p ON p.id = l.staff WHERE l.digest = ? AND p.left_at IS NULL
"""
_USE = """
UPDATE link SET used_at = ? WHERE digest = ? AND (used_at IS NULL OR reusable) RETURNING staff
"""


async def find_person(db: Database, token: str, now: int) -> Person | None:
    """Who a cookie's token stands for now; None if its session is unknown or over."""
    name = digest(token)
    rows = await db.rows(_FIND, name, now - IDLE_MS, now - ABSOLUTE_MS)
    if not rows:
        return None
    row = rows[0]
    if now - row["seen_at"] > TOUCH_MS:
        async with db.write():
            await Session.update({Session.seen_at: now}).where(Session.digest == name)
    return _person(row, name)


async def claim(
    db: Database,
    link: str,
    device_name: str,
    now: int,
    *,
    remembered: str | None = None,
    cookie: str | None = None,
) -> tuple[str, Person]:
    """Use a link on a device: the new cookie's token, and who that is.

    remembered  the device's key as the phone knows it; believed only if `cookie` proves it

    Raises LinkUnknown, LinkUsed or LinkExpired; the link is then as it was.
    """
    async with db.write() as tx:
        staff = await _use_link(tx, digest(link), now)
        device = await _proven_device(tx, remembered, cookie)
        if device is None:
            device = new_key("device")
            await Device.insert(Device(id=device, name=device_name, made_at=now))
        await Session.update({Session.ended_at: now}).where(
            Session.device == device, Session.ended_at.is_null()
        )
        token = new_token()
        await Session.insert(
            Session(digest=digest(token), staff=staff, device=device, made_at=now, seen_at=now)
        )
        [row] = await tx.rows(_FIND, digest(token), now - IDLE_MS, now - ABSOLUTE_MS)
    return token, _person(row, digest(token))


async def leave(db: Database, person: Person, now: int) -> None:
    """End the person's session on this device."""
    async with db.write():
        await Session.update({Session.ended_at: now}).where(Session.digest == person.session)


async def _use_link(tx: Write, name: str, now: int) -> str:
    rows = await tx.rows(_LINK, name)
    if not rows:
        raise LinkUnknown
    if rows[0]["used_at"] is not None and not rows[0]["reusable"]:
        raise LinkUsed
    if rows[0]["expires_at"] <= now and not rows[0]["reusable"]:
        raise LinkExpired
    if not await tx.rows(_USE, now, name):
        raise LinkUsed
    return str(rows[0]["staff"])


async def _proven_device(tx: Write, remembered: str | None, cookie: str | None) -> str | None:
    if remembered is None or cookie is None:
        return None
    rows = await tx.rows(
        "SELECT s.device FROM session s JOIN device d ON d.id = s.device "
        "WHERE s.digest = ? AND s.device = ? AND d.removed_at IS NULL",
        digest(cookie),
        remembered,
    )
    return str(rows[0]["device"]) if rows else None


def _person(row: dict[str, Any], session: str) -> Person:
    return Person(
        staff=row["staff"],
        device=row["device"],
        role=row["role"],
        name=row["name"],
        device_name=row["device_name"],
        session=session,
    )
