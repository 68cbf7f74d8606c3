"""PINs and passwords as they are stored, and the waiting after wrong ones."""

import asyncio

import pytest
from argon2 import extract_parameters
from argon2.low_level import Type

from api.access.problems import PinLocked, WeakPassword, WrongPin
from api.access.secret import (
    FORGOTTEN_MS,
    LONGEST_WAIT_MS,
    check_password,
    check_right_pin,
    count_try,
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
    minute, now, found = 60_000, 1000, []
    for _ in range(12):
        found.append(await count_try(db, "phone|tove", now))
        if found[-1][1]:
            with pytest.raises(PinLocked) as caught:
                await count_try(db, "phone|tove", now + 1)
            assert caught.value.extra == {"wait_s": found[-1][1] // 1000}
        await count_try(db, "other|tove", 0)
        now += found[-1][1]
        async with db.write() as tx:
            await forget_wrong(tx, "other|tove")
    assert found == [(4, 0), (3, 0), (2, 0), (1, 0), *[
        (0, minute * 2**n) for n in range(6)
    ], (0, LONGEST_WAIT_MS), (0, LONGEST_WAIT_MS)]  # fmt: skip
    async with db.write() as tx:
        await forget_wrong(tx, "phone|tove")
    assert await count_try(db, "phone|tove", now) == (4, 0), "counting begins again"


async def test_tries_are_forgotten_after_a_week_so_that_invented_names_do_not_pile_up(
    db: Database,
) -> None:
    begin = 2 * FORGOTTEN_MS
    for number in range(3):
        assert await count_try(db, f"enter|{number}", begin + number) == (4, 0)
    assert await count_try(db, "enter|2", begin + FORGOTTEN_MS + 2) == (3, 0), "not a ms sooner"
    assert await db.rows("SELECT id, failures FROM attempt") == [{"id": "enter|2", "failures": 2}]


async def test_a_server_whose_clock_goes_back_locks_nobody_out_for_a_first_try(
    db: Database,
) -> None:
    assert await count_try(db, "phone|tove", 3 * LONGEST_WAIT_MS) == (4, 0)
    assert await count_try(db, "phone|tove", 0) == (3, 0)


async def test_fifty_guesses_at_once_are_five(db: Database) -> None:
    hashed = await hash_secret("8305")

    async def guess(number: int) -> str:
        try:
            await check_right_pin(db, "phone", "tove", hashed, f"{number:04}", 1000)
        except (PinLocked, WrongPin) as error:
            return error.code
        return "right"

    found = await asyncio.gather(*(guess(number) for number in range(50)))
    assert sorted(found) == ["pin-locked"] * 46 + ["wrong-pin"] * 4


@pytest.mark.parametrize("password", ["fourteen chars", "a" * 30, "ab" * 10, "", "x" * 201])
def test_passwords_too_weak(password: str) -> None:
    with pytest.raises(WeakPassword):
        check_password(password)
