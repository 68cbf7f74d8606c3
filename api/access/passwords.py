"""An owner's password: the way in when no paired device is at hand."""

from api.access.audit import note
from api.access.person import Caller, Person
from api.access.problems import PinLocked, WrongPassword
from api.access.secret import (
    check_password,
    count_try,
    fits,
    forget_wrong,
    hash_secret,
)
from api.access.sessions import open_session
from api.access.tables import Staff
from api.access.tokens import digest
from api.database import Database

_OWNERS = """
SELECT id, password FROM staff WHERE LOWER(name) = LOWER(?) AND role = 'owner'
AND left_at IS NULL AND password IS NOT NULL ORDER BY made_at, id
"""


async def set_password(db: Database, by: Person, password: str, old: str | None, now: int) -> None:
    """An owner's own password. Raises WeakPassword, or WrongPassword where `old` is not the old."""
    check_password(password)
    [row] = await db.rows("SELECT password FROM staff WHERE id = ?", by.staff)
    if row["password"] is not None and not await fits(row["password"], old or ""):
        raise WrongPassword("Nothing was changed. The old password is needed to set a new one.")
    hashed = await hash_secret(password)
    async with db.write() as tx:
        await Staff.update({Staff.password: hashed}).where(Staff.id == by.staff)
        await note(tx, now, "password-set", who=by.staff, device=by.device, about=by.staff)


async def enter(
    db: Database,
    name: str,
    password: str,
    device_name: str,
    now: int,
    *,
    remembered: str | None,
    cookie: str | None,
) -> tuple[str, Caller]:
    """Open a session by name and password. Raises WrongPassword or PinLocked.

    A name that nobody has takes as long and says the same; wrong tries are counted by the name.
    """
    on = f"enter|{digest(name.lower())}"
    _, wait = await count_try(db, on, now)
    rows = await db.rows(_OWNERS, name)
    for row in rows or [{"id": "", "password": None}]:
        if await fits(row["password"], password):
            async with db.write() as tx:
                if row not in await tx.rows(_OWNERS, name):
                    break  # another password by now, or no owner any more
                await forget_wrong(tx, on)
                return await open_session(
                    tx, row["id"], device_name, now, remembered=remembered, cookie=cookie
                )
    if wait:
        async with db.write() as tx:
            await note(tx, now, "pin-locked", about=rows[0]["id"] if rows else None, wait_ms=wait)
        raise PinLocked(wait // 1000)
    raise WrongPassword
