"""Sessions: a device's way in, opened by a link or a pairing code and named by a cookie.

A session ends after 30 days unused or 180 days in all. The cookie itself lives on in the browser:
its old, ended session opens nothing but proves the device, so that a phone with unsent records
is the same device when it is paired again.
"""

from api.access.audit import note
from api.access.person import Caller, Person, Revoked
from api.access.problems import LinkExpired, LinkUnknown, LinkUsed
from api.access.tables import Device, Session
from api.access.tokens import digest, new_key, new_token
from api.database import Database, Row, Rows, Write
from api.problems import SignedOut

DAY_MS = 24 * 3600 * 1000
IDLE_MS = 30 * DAY_MS
ABSOLUTE_MS = 180 * DAY_MS
TOUCH_MS = 3600 * 1000
"""How old `seen_at` may be: writing it at every request would make every read a write."""

# A shared phone that was signed out while nobody held it stands for whoever paired it.
_FIND = """
SELECT s.digest, s.device, s.seen_at, s.ended_at, d.name AS device_name, d.shared, d.removed_at,
p.id AS staff, p.name, p.role, p.left_at
FROM session s JOIN device d ON d.id = s.device
LEFT JOIN staff p ON p.id = CASE WHEN d.shared AND (s.holder IS NOT NULL OR d.removed_at IS NULL)
THEN s.holder ELSE s.staff END
WHERE s.digest = ? AND s.ended_at IS NULL AND s.seen_at > ? AND s.made_at > ?
"""
_LINK = """
SELECT l.staff, l.expires_at, l.used_at, l.reusable, l.shared
FROM link l JOIN staff p ON p.id = l.staff WHERE l.digest = ? AND p.left_at IS NULL
"""
_USE = """
UPDATE link SET used_at = ? WHERE digest = ? AND (used_at IS NULL OR reusable) RETURNING staff
"""


async def find_caller(db: Database, token: str, now: int) -> Caller | None:
    """Who a cookie's token stands for now; None if its session is unknown or over."""
    row = await _find(db, digest(token), now)
    if row is None or _is_revoked(row):
        return None
    if now - row["seen_at"] > TOUCH_MS:
        async with db.write():
            await Session.update({Session.seen_at: now}).where(Session.digest == row["digest"])
    return _caller(row)


async def find_caller_of(tx: Rows, session: str, now: int) -> Caller:
    """Who a session, named by its digest, stands for. Raises SignedOut where it is over."""
    row = await _find(tx, session, now)
    if row is None or _is_revoked(row):
        raise SignedOut
    return _caller(row)


async def find_revoked(db: Database, token: str, now: int) -> Caller | None:
    """Who a token stood for until the device or the person was signed out for good."""
    return await find_revoked_of(db, digest(token), now)


async def find_revoked_of(tx: Rows, session: str, now: int) -> Caller | None:
    """The same of a session named by its digest."""
    row = await _find(tx, session, now)
    if row is None or row["staff"] is None:
        return None
    why: Revoked = "person-revoked" if row["removed_at"] is None else "device-revoked"
    return _caller(row, why)


async def claim(
    db: Database,
    link: str,
    device_name: str,
    now: int,
    *,
    remembered: str | None = None,
    cookie: str | None = None,
) -> tuple[str, Caller]:
    """Use a link or a pairing code on a device: the new cookie's token, and who that is.

    remembered  the device's key as the phone knows it; believed only if `cookie` proves it

    Raises LinkUnknown, LinkUsed or LinkExpired; the link is then as it was.
    """
    async with db.write() as tx:
        used = await _use_link(tx, digest(link), now)
        return await open_session(
            tx, used["staff"], device_name, now, shared=bool(used["shared"]),
            remembered=remembered, cookie=cookie,
        )  # fmt: skip


async def open_session(
    tx: Write,
    staff: str,
    device_name: str,
    now: int,
    *,
    shared: bool = False,
    remembered: str | None = None,
    cookie: str | None = None,
) -> tuple[str, Caller]:
    """A new session of a device, its own before or a new one; earlier ones of it are ended."""
    device = await _proven_device(tx, remembered, cookie)
    if device is None:
        device = new_key("device")
        await Device.insert(Device(id=device, name=device_name, made_at=now, shared=shared))
    else:
        await Device.update({Device.shared: shared, Device.name: device_name}).where(
            Device.id == device
        )
    await Session.update({Session.ended_at: now}).where(
        Session.device == device, Session.ended_at.is_null()
    )
    token = new_token()
    await Session.insert(
        Session(digest=digest(token), staff=staff, device=device, made_at=now, seen_at=now)
    )
    if not shared:
        await remember_holding(tx, device, staff, now)
    await note(tx, now, "device-paired", who=staff, device=device, about=device,
               name=device_name, shared=shared)  # fmt: skip
    return token, await find_caller_of(tx, digest(token), now)


async def leave(db: Database, caller: Caller, now: int) -> None:
    """End the device's session."""
    async with db.write() as tx:
        await Session.update({Session.ended_at: now}).where(Session.digest == caller.session)
        await note(tx, now, "signed-out", who=caller.holder,
                   device=caller.device, about=caller.device)  # fmt: skip


async def remember_holding(tx: Write, device: str, staff: str, now: int) -> None:
    """From now on records of theirs made on the device are believed."""
    await tx.many(
        "INSERT INTO holding (id, device, staff, since) VALUES (?, ?, ?, ?) "
        "ON CONFLICT (id) DO NOTHING",
        [(f"{device}|{staff}", device, staff, now)],
    )


async def _find(rows: Rows, session: str, now: int) -> Row | None:
    found = await rows.rows(_FIND, session, now - IDLE_MS, now - ABSOLUTE_MS)
    return found[0] if found else None


def _is_revoked(row: Row) -> bool:
    """Who left holds a shared phone no more; the phone itself stays the farm's."""
    gone = row["left_at"] is not None and not row["shared"]
    return gone or row["removed_at"] is not None


async def _use_link(tx: Write, name: str, now: int) -> Row:
    rows = await tx.rows(_LINK, name)
    if not rows:
        raise LinkUnknown
    if rows[0]["used_at"] is not None and not rows[0]["reusable"]:
        raise LinkUsed
    if rows[0]["expires_at"] <= now and not rows[0]["reusable"]:
        raise LinkExpired
    if not await tx.rows(_USE, now, name):
        raise LinkUsed
    return rows[0]


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


def _caller(row: Row, revoked: Revoked | None = None) -> Caller:
    gone = row["left_at"] is not None and revoked is None
    person = None if row["staff"] is None or gone else Person(
        row["staff"], row["device"], row["role"], row["name"], row["digest"], revoked
    )  # fmt: skip
    return Caller(row["device"], row["device_name"], bool(row["shared"]), row["digest"], person)
