"""PINs and passwords: argon2id hashes, what is too weak, and waiting after wrong tries.

19 MiB, two passes, one lane: the first of the settings that OWASP's Password Storage Cheat Sheet
names for argon2id. A PIN is short, so it counts only on a paired phone and behind the waiting;
that deviates from OWASP ASVS 5.0 6.2.1 (eight characters), for people with wet gloves on.
"""

import asyncio
import re
from functools import cache

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerifyMismatchError

from api.access.audit import note
from api.access.problems import PinLocked, WeakPassword, WeakPin, WrongPin
from api.database import Database, Write

TRIES = 5
TRIES_EVERYWHERE = 20
FIRST_WAIT_MS = 60_000
LONGEST_WAIT_MS = 3600_000
FORGOTTEN_MS = 7 * 24 * 3600_000
"""Wrong tries older than this count no more, so that invented names do not pile up."""
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
    # And for this person on all phones: who can pair phones could else begin anew on each.
    _, everywhere = await count_try(db, f"every|{staff}", now, TRIES_EVERYWHERE)
    left, wait = await count_try(db, on, now)
    wait = max(wait, everywhere)
    if await fits(hashed, pin):
        async with db.write() as tx:
            await forget_wrong(tx, on)
            await forget_wrong(tx, f"every|{staff}")
        return
    if wait:
        async with db.write() as tx:
            await note(tx, now, "pin-locked", device=device, about=staff, wait_ms=wait)
        raise PinLocked(wait // 1000)
    raise WrongPin(left)


async def count_try(db: Database, on: str, now: int, tries: int = TRIES) -> tuple[int, int]:
    """Count a try before it is judged: how many are left before a wait, and the wait in ms.

    From the fifth wrong one on each brings a wait, a minute at first, doubled each time, an hour
    at most. Counted first, since many guesses sent at once would else all be judged before the
    first is counted; the right one forgets the count. Raises PinLocked during a wait.
    """
    async with db.write() as tx:
        await tx.many("DELETE FROM attempt WHERE until < ?", [(now - FORGOTTEN_MS,)])
        rows = await tx.rows("SELECT failures, until FROM attempt WHERE id = ?", on)
        known = rows[0] if rows else {"failures": 0, "until": 0}
        if known["failures"] >= tries and known["until"] > now:
            raise PinLocked(-(-(known["until"] - now) // 1000))
        beyond = known["failures"] + 1 - tries
        wait = 0 if beyond < 0 else min(FIRST_WAIT_MS << min(beyond, 10), LONGEST_WAIT_MS)
        await tx.many(
            "INSERT INTO attempt (id, failures, until) VALUES (?, ?, ?) ON CONFLICT (id) "
            "DO UPDATE SET failures = excluded.failures, until = excluded.until",
            [(on, known["failures"] + 1, now + wait)],
        )
    return max(-beyond, 0), wait


async def forget_wrong(tx: Write, on: str) -> None:
    """After the right one, or a new one, counting begins again."""
    await tx.rows("DELETE FROM attempt WHERE id = ? RETURNING id", on)


def _fits(hashed: str | None, secret: str) -> bool:
    try:
        return _hasher.verify(hashed or _nobodys(), secret) and hashed is not None
    except (VerifyMismatchError, InvalidHashError):
        return False


@cache
def _nobodys() -> str:
    return _hasher.hash("nobody's")
