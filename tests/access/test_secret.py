"""PINs and passwords as they are stored, and the waiting after wrong ones."""

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type

from api.access.problems import PinLocked, WeakPassword
from api.access.secret import (
    LONGEST_WAIT_MS,
    check_attempts,
    check_password,
    count_wrong,
    fits,
    forget_wrong,
    hash_secret,
)
from api.database import Database

pytestmark = pytest.mark.anyio


async def test_what_is_stored() -> None:
    """argon2id, 19 MiB, 2 passes, 1 lane: OWASP Password Storage Cheat Sheet, as of 2025."""
    hashed = await hash_secret("8305")
    found = extract_parameters(hashed)
    assert (found.type, found.memory_cost, found.time_cost, found.parallelism) == (
        Type.ID, 19 * 1024, 2, 1,
    )  # fmt: skip
    assert hashed != await hash_secret("8305"), "salted"
    assert [await fits(hashed, one) for one in ("8305", "8306", "")] == [True, False, False]
    assert not await fits(None, "8305")
    assert not await fits(None, "nobody's"), "what stands in for a missing one opens nothing"
    assert not await fits("no hash", "8305")


async def test_each_wrong_try_beyond_the_fifth_doubles_the_wait(db: Database) -> None:
    waits = []
    for _ in range(12):
        async with db.write() as tx:
            waits.append(await count_wrong(tx, "phone|tove", 1000))
    minute = 60_000
    assert waits == [(4, 0), (3, 0), (2, 0), (1, 0), *[
        (0, minute * 2**n) for n in range(6)
    ], (0, LONGEST_WAIT_MS), (0, LONGEST_WAIT_MS)]  # fmt: skip
    with pytest.raises(PinLocked) as caught:
        await check_attempts(db, "phone|tove", 2000)
    assert caught.value.extra == {"wait_s": 3599}
    await check_attempts(db, "phone|tove", 1000 + LONGEST_WAIT_MS)
    await check_attempts(db, "other|tove", 2000)
    async with db.write() as tx:
        await forget_wrong(tx, "phone|tove")
    await check_attempts(db, "phone|tove", 2000)


@pytest.mark.parametrize("password", ["fourteen chars", "a" * 30, "ab" * 10, "", "x" * 201])
def test_passwords_too_weak(password: str) -> None:
    with pytest.raises(WeakPassword):
        check_password(password)
