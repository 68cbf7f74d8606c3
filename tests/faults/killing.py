"""Where a server can be made to die in a batch, and what else can be done to one.

The product holds no test code: its functions are wrapped in the server's process, after the fork.
"""

import asyncio
import os
import random
import signal
from collections.abc import Callable
from typing import Any, Literal, NamedTuple

import msgspec

from api.database import Write
from api.sync import push as pushing

Point = Literal[
    "before parse",
    "after parse",
    "after BEGIN",
    "after counter",
    "after log rows written",
    "after projection",
    "before commit",
    "after commit before answer",
]
POINTS: tuple[Point, ...] = Point.__args__  # type: ignore[attr-defined]


class Sabotage(NamedTuple):
    """A fault that breaks a promise, by name: of the server, of the phones, of the app's pages.

    Only the tests of the checker have one. See sabotage.py, sabotage.mjs and sabotage_page.js.
    """

    server: str | None = None
    phone: str | None = None
    page: str | None = None


class Trap(msgspec.Struct, frozen=True, kw_only=True):
    """point     where to die, at the batch after `spare` that have gone by
    slow_ms      a wait of up to so long before each commit
    sabotage     a fault of the server's own, for the tests of the checker
    """

    point: Point | None = None
    spare: int = 0
    slow_ms: float = 0.0
    sabotage: str | None = None


def set_trap(trap: Trap) -> None:
    """Wrap the product's functions in this process."""
    if trap.slow_ms:
        _before(pushing, "_save_device", _wait_up_to(trap.slow_ms))
    if trap.point is not None:
        _PLACES[trap.point](_die_after(trap.spare))
    if trap.sabotage is not None:
        from tests.faults import sabotage

        sabotage.SERVER[trap.sabotage]()


def _die_after(spare: int) -> Callable[..., None]:
    left = [spare]

    def die(*_args: Any) -> None:
        left[0] -= 1
        if left[0] < 0:
            os.kill(os.getpid(), signal.SIGKILL)

    return die


def _wait_up_to(ms: float) -> Callable[..., Any]:
    chance = random.Random(os.getpid())

    async def wait(*_args: Any) -> None:
        await asyncio.sleep(chance.random() * ms / 1000)

    return wait


def _log_rows(die: Callable[..., None]) -> None:
    def die_if_log(_self: Any, sql: str, *_rows: Any) -> None:
        if sql.startswith("INSERT INTO log "):
            die()

    _after(Write, "many", die_if_log)


_PLACES: dict[Point, Callable[[Callable[..., None]], None]] = {
    "before parse": lambda die: _before(pushing, "push", die),
    "after parse": lambda die: _before(pushing, "_commit", die),
    "after BEGIN": lambda die: _before(Write, "take_counter", die),
    "after counter": lambda die: _after(Write, "take_counter", die),
    "after log rows written": _log_rows,
    "after projection": lambda die: _after(pushing, "project", die),
    "before commit": lambda die: _after(pushing, "_save_device", die),
    "after commit before answer": lambda die: _after(pushing, "_commit", die),
}


def _before(owner: Any, name: str, first: Callable[..., Any]) -> None:
    kept = getattr(owner, name)

    async def wrapped(*args: Any, **more: Any) -> Any:
        done = first(*args)
        if done is not None:
            await done
        return await kept(*args, **more)

    setattr(owner, name, wrapped)


def _after(owner: Any, name: str, then: Callable[..., Any]) -> None:
    kept = getattr(owner, name)

    async def wrapped(*args: Any, **more: Any) -> Any:
        result = await kept(*args, **more)
        then(*args)
        return result

    setattr(owner, name, wrapped)
