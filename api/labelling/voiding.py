"""Voiding: codes that are to be put on nothing, such as those of a sheet that was misprinted.

It is never undone: a voided label may be in the bin. What is on something is left as it is.
"""

from collections.abc import Iterable

from msgspec import Struct

from api.database import Rows, Write
from api.labelling.accounting import holders_of, voids_of
from api.records.clock import now_ms

MOST_AT_ONCE = 5000


class Voided(Struct, frozen=True):
    """How many codes are void now that were not, and how many were left as they are: on something,
    void already, or not issued here."""

    voided: int
    bound: int
    already: int
    unknown: int


async def void(tx: Write, codes: Iterable[str], why: str, staff: str) -> Voided:
    """Void those codes that are on nothing."""
    wanted = sorted(set(codes))
    known = {row["code"] for row in await tx.rows_in(
        "SELECT code FROM label_code WHERE code IN (?)", wanted)}  # fmt: skip
    already = (await voids_of(tx, wanted)).keys()
    bound = (await holders_of(tx, known)).keys() - already
    free = sorted(known - already - bound)
    [row] = await tx.rows("SELECT COALESCE(MAX(seq), 0) AS last FROM label_void")
    now = now_ms()
    await tx.many(
        "INSERT INTO label_void (code, seq, at, staff, why) VALUES (?, ?, ?, ?, ?)",
        [(code, row["last"] + number, now, staff, why) for number, code in enumerate(free, 1)],
    )
    return Voided(len(free), len(bound), len(already), len(wanted) - len(known))


async def codes_of(db: Rows, batch: str) -> list[str]:
    rows = await db.rows("SELECT code FROM label_code WHERE batch = ?", batch)
    return [row["code"] for row in rows]


async def void_codes(db: Rows, after: int) -> list[tuple[int, str]]:
    """Numbers and codes voided since a number, oldest first, one more than an answer holds."""
    rows = await db.rows(
        "SELECT seq, code FROM label_void WHERE seq > ? ORDER BY seq LIMIT ?",
        after, MOST_AT_ONCE + 1,
    )  # fmt: skip
    return [(row["seq"], row["code"]) for row in rows]
