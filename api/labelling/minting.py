"""Minting: new codes, each once and for good."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import uuid4

import labels
from api.database import CHUNK, Database, Rows, Write
from api.records.clock import now_ms

ROUNDS = 20
"""With 2.75e10 possible codes a repeat is rare; a run of them means that chance is broken."""
BY_SERVER = "staff.server"
"""Who minted, where a command did and no person was signed in."""
MOST_LABELS = 10_000
"""In one print: 417 sheets of 24."""


@dataclass(frozen=True)
class SheetOrder:
    """What to print: labels by the id of their geometry, from a position counted from 1.

    `said` holds a caption or a name for each label, in order, where `words` asks for them.
    """

    geometry: str
    count: int
    start: int = 1
    size_mm: float | None = None
    printer: str | None = None
    words: labels.Words = "code"
    said: tuple[str, ...] = ()


@dataclass(frozen=True)
class Minted:
    """A batch and its codes, in order."""

    id: str
    codes: list[str]


async def mint(db: Database, count: int, staff: str, order: SheetOrder | None = None) -> Minted:
    """`count` new codes, written down with how they were asked for.

    The primary key refuses a repeat, and another is drawn instead.
    """
    batch = Minted(uuid4().hex, [""] * count)
    rest = (now_ms(), batch.id, staff)
    wanted = list(range(count))
    said = order.said if order else ()
    async with db.write() as tx:
        for _ in range(ROUNDS + count // CHUNK):
            drawn = _draw(wanted[:CHUNK])
            new = await _insert(tx, drawn, rest, said)
            for code in new:
                batch.codes[drawn[code]] = code
            left = set(drawn.values()) - {drawn[code] for code in new}
            wanted = [*sorted(left), *wanted[len(drawn) :]]
            if not wanted:
                await _note(tx, rest, order)
                return batch
    raise RuntimeError("New codes repeat old ones: the machine's random numbers are broken.")


def _draw(places: Sequence[int]) -> dict[str, int]:
    """A code for each of the first places; fewer where one was drawn twice."""
    drawn: dict[str, int] = {}
    for place in places:
        code = labels.make_code()
        if code in drawn:
            break
        drawn[code] = place
    return drawn


async def _insert(
    tx: Write, drawn: dict[str, int], rest: tuple[int, str, str], said: Sequence[str]
) -> set[str]:
    """Insert codes at their places and return those that were new."""
    marks = ", ".join(["(?, ?, ?, ?, ?, ?)"] * len(drawn))
    rows = await tx.rows(
        "INSERT INTO label_code (code, minted_at, batch, staff, place, said) "
        f"VALUES {marks} ON CONFLICT (code) DO NOTHING RETURNING code",
        *(
            value
            for code, place in drawn.items()
            for value in (code, *rest, place, said[place] if said else None)
        ),
    )
    return {row["code"] for row in rows}


async def _note(tx: Write, rest: tuple[int, str, str], order: SheetOrder | None) -> None:
    if order is None:
        return
    at, batch, staff = rest
    size = None if order.size_mm is None else round(100 * order.size_mm)
    await tx.many(
        "INSERT INTO label_print (id, at, staff, sheet, words, size_hmm, printer) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        [(batch, at, staff, order.geometry, order.words, size, order.printer)],
    )


async def is_minted(db: Rows, code: str) -> bool:
    """Whether this server ever issued the code."""
    return bool(await db.rows("SELECT 1 AS one FROM label_code WHERE code = ?", code))
