"""PINs and passwords: argon2id hashes, what is too weak, and waiting after wrong tries.

19 MiB, two passes, one lane: the first of the settings that OWASP's Password Storage Cheat Sheet
names for argon2id. A PIN is short, so it counts only on a paired phone and behind the waiting;
that deviates from OWASP ASVS 5.0 6.2.1 (eight characters), for people with wet gloves on.
"""

import asyncio
import re

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from api.access.audit import note
from api.access.problems import PinLocked, WeakPassword, WeakPin, WrongPin
from api.database import Database, Write

TRIES = 5
FIRST_WAIT_MS = 60_000
LONGEST_WAIT_MS = 3600_000
PASSWORD_LEAST = 15
PASSWORD_MOST = 200
_STEPS = "01234567890", "09876543210"
_hasher = PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)


def check_pin(pin: str) -> None:
    """Raises WeakPin unless it is 4 to 8 digits, neither all alike nor in a row."""
    if not re.fullmatch(r"[0-9]{4,8}", pin):
        raise WeakPin
    if len(set(pin)) == 1 or any(pin in row for row in _STEPS):
        raise WeakPin


def check_password(password: str) -> None:
    """Raises WeakPassword where it is shorter than 15 characters or all alike."""
    if not PASSWORD_LEAST <= len(password) <= PASSWORD_MOST or len(set(password)) < 4:
        raise WeakPassword


async def hash_secret(secret: str) -> str:
    """Its argon2id hash, worked out beside the event loop."""
    return await asyncio.to_thread(_hasher.hash, secret)


async def fits(hashed: str | None, secret: str) -> bool:
    """Whether a secret is the hashed one. Without a hash the same time is spent."""
    return await asyncio.to_thread(_fits, hashed, secret)


async def check_right_pin(
    db: Database, device: str, staff: str, hashed: str, pin: str, now: int
) -> None:
    """Raises WrongPin or PinLocked unless it is the person's PIN.

    Wrong tries are counted for this person on this phone: nobody is locked out of another phone
    by somebody who plays with this one.
    """
    on = f"{device}|{staff}"
    await check_attempts(db, on, now)
    if await fits(hashed, pin):
        async with db.write() as tx:
            await forget_wrong(tx, on)
        return
    async with db.write() as tx:
        left, wait = await count_wrong(tx, on, now)
        if wait:
            await note(tx, now, "pin-locked", device=device, about=staff, wait_ms=wait)
    if wait:
        raise PinLocked(wait // 1000)
    raise WrongPin(left)


async def check_attempts(db: Database, on: str, now: int) -> None:
    """Raises PinLocked while too many wrong tries on something are not yet waited out."""
    rows = await db.rows("SELECT until FROM attempt WHERE id = ?", on)
    if rows and rows[0]["until"] > now:
        raise PinLocked(-(-(rows[0]["until"] - now) // 1000))


async def count_wrong(tx: Write, on: str, now: int) -> tuple[int, int]:
    """Count a wrong try: how many are left before a wait, and the wait it has brought, in ms.

    From the fifth on each brings a wait, a minute at first, doubled each time, an hour at most.
    """
    [row] = await tx.rows(
        "INSERT INTO attempt (id, failures, until) VALUES (?, 1, 0) ON CONFLICT (id) "
        "DO UPDATE SET failures = attempt.failures + 1 RETURNING failures", on,
    )  # fmt: skip
    beyond = row["failures"] - TRIES
    if beyond < 0:
        return -beyond, 0
    wait = min(FIRST_WAIT_MS << min(beyond, 10), LONGEST_WAIT_MS)
    await tx.rows("UPDATE attempt SET until = ? WHERE id = ? RETURNING id", now + wait, on)
    return 0, wait


async def forget_wrong(tx: Write, on: str) -> None:
    """After the right one, or a new one, counting begins again."""
    await tx.rows("DELETE FROM attempt WHERE id = ? RETURNING id", on)


def _fits(hashed: str | None, secret: str) -> bool:
    try:
        return _hasher.verify(hashed or _nobodys(), secret) and hashed is not None
    except (VerifyMismatchError, InvalidHashError):
        return False


def _nobodys() -> str:
    global _NOBODYS
    _NOBODYS = _NOBODYS or _hasher.hash("nobody's")
    return _NOBODYS


_NOBODYS = ""
