"""Every code accounted for: unbound, bound (to what), void (who, when, why).

Bound is read from what the log adds up to, never from a column of its own, so that labels bound
without a network count as soon as their records arrive, and those taken back no longer do. A code
that is void and yet on something counts as bound, and is counted once more as `odd`: somebody
should look, and nothing was refused.
"""

from collections import defaultdict
from collections.abc import Iterable

import msgspec
from msgspec import Struct

from api.database import Row, Rows
from api.problems import NotFound
from labels import Words

PAGE = 200
PRINTS = 100


class Tally(Struct):
    """A print and what became of its codes; `sheet` is null for codes minted without one."""

    id: str
    at: int
    staff: str
    count: int
    unbound: int
    bound: int
    void: int
    odd: int
    sheet: str | None = None
    words: Words = "code"
    size_mm: float | None = None
    printer: str | None = None


class Holder(Struct, frozen=True):
    """What a code is on: a piece, a tray or a tank, by its id."""

    kind: str
    id: str


class Void(Struct, frozen=True):
    at: int
    staff: str
    why: str


class Account(Struct, frozen=True):
    """One code: with a `holder` where it is bound, `void` where it is void; else it is unbound."""

    code: str
    place: int | None
    said: str | None
    holder: Holder | None
    void: Void | None


async def tallies(db: Rows, before: int | None = None, batch: str | None = None) -> list[Tally]:
    """Prints, newest first, one more than a page holds where there are more; or the one named."""
    where, args = ("WHERE c.batch = ?", (batch,)) if batch else ("", ())
    rows = await db.rows(
        "SELECT c.batch, MIN(c.minted_at) AS at, MIN(c.staff) AS staff, COUNT(*) AS n, "
        "COUNT(h.code) AS bound, COUNT(v.code) AS void, "
        "SUM(CASE WHEN h.code IS NOT NULL AND v.code IS NOT NULL THEN 1 ELSE 0 END) AS odd "
        "FROM label_code c LEFT JOIN label_void v ON v.code = c.code "
        f"LEFT JOIN (SELECT DISTINCT code FROM claim) h ON h.code = c.code {where} "
        "GROUP BY c.batch HAVING MIN(c.minted_at) < ? ORDER BY MIN(c.minted_at) DESC, c.batch "
        "LIMIT ?",
        *args, before or 2**53, PRINTS + 1,
    )  # fmt: skip
    found = {row["batch"]: _tally(row) for row in rows}
    await _count_items(db, found)
    await _say_how(db, found)
    return list(found.values())


def _tally(row: Row) -> Tally:
    n, bound, void, odd = (int(row[name]) for name in ("n", "bound", "void", "odd"))
    return Tally(row["batch"], row["at"], row["staff"], n, n - bound - void + odd, bound,
                 void - odd, odd)  # fmt: skip


async def _count_items(db: Rows, found: dict[str, Tally]) -> None:
    """Codes on trays and tanks, of which there are few, are counted one by one."""
    on_items = await item_codes(db)
    rows = await db.rows_in(
        "SELECT c.code, c.batch, v.code AS void FROM label_code c "
        "LEFT JOIN label_void v ON v.code = c.code WHERE c.code IN (?) "
        "AND NOT EXISTS (SELECT 1 FROM claim h WHERE h.code = c.code)",
        on_items,
    )
    for row in rows:
        if (tally := found.get(row["batch"])) is None:
            continue
        tally.bound += 1
        if row["void"] is None:
            tally.unbound -= 1
        else:
            tally.void -= 1
            tally.odd += 1


async def _say_how(db: Rows, found: dict[str, Tally]) -> None:
    for row in await db.rows_in("SELECT * FROM label_print WHERE id IN (?)", found):
        tally = found[row["id"]]
        tally.sheet, tally.words, tally.printer = row["sheet"], row["words"], row["printer"]
        tally.size_mm = None if row["size_hmm"] is None else row["size_hmm"] / 100


async def one_tally(db: Rows, batch: str) -> Tally:
    """Raises NotFound where no codes were minted under that id."""
    # An address may hold a NUL, which PostgreSQL does not even look for.
    for tally in await tallies(db, batch=batch.replace("\0", " ")):
        return tally
    raise NotFound("No such print was made here. Choose one under Labels, Prints.")


async def accounts(db: Rows, batch: str, after: int = 0, limit: int = PAGE) -> list[Account]:
    """Codes of a print in the order of printing, from a number of them on."""
    rows = await db.rows(
        "SELECT code, place, said FROM label_code WHERE batch = ? ORDER BY place, code "
        "LIMIT ? OFFSET ?",
        batch, limit, after,
    )  # fmt: skip
    codes = [row["code"] for row in rows]
    holders, voids = await holders_of(db, codes), await voids_of(db, codes)
    return [
        Account(row["code"], row["place"], row["said"], holders.get(row["code"]),
                voids.get(row["code"]))
        for row in rows
    ]  # fmt: skip


async def holders_of(db: Rows, codes: Iterable[str]) -> dict[str, Holder]:
    """What codes are on: the earliest claim holds, as everywhere; a piece's before a tray's or a
    tank's, as on phones, since the label that is read was read off the piece."""
    wanted = list(codes)
    claims: dict[str, list[tuple[int, str, Holder]]] = defaultdict(list)
    for row in await db.rows_in(
        "SELECT code, piece, at, record FROM claim WHERE code IN (?)", wanted
    ):
        claims[row["code"]].append((row["at"], row["record"], Holder("piece", row["piece"])))
    on_items = await item_codes(db)
    for code in set(wanted) & on_items.keys():
        claims[code] += on_items[code]
    first = {code: min(found, key=_standing) for code, found in claims.items()}
    return {code: holder for code, (_, _, holder) in first.items()}


def _standing(claim: tuple[int, str, Holder]) -> tuple[bool, int, str]:
    at, record, holder = claim
    return holder.kind != "piece", at, record


async def item_codes(db: Rows) -> dict[str, list[tuple[int, str, Holder]]]:
    """Claims of trays and tanks, by code."""
    rows = await db.rows(
        'SELECT id, "list", codes FROM item WHERE codes IS NOT NULL AND codes <> ?', "[]"
    )
    found: dict[str, list[tuple[int, str, Holder]]] = defaultdict(list)
    for row in rows:
        for claim in msgspec.json.decode(row["codes"]):
            holder = Holder(row["list"], row["id"])
            found[claim["code"]].append((claim["at"], claim["record"], holder))
    return found


async def voids_of(db: Rows, codes: Iterable[str]) -> dict[str, Void]:
    rows = await db.rows_in("SELECT code, at, staff, why FROM label_void WHERE code IN (?)", codes)
    return {row["code"]: Void(row["at"], row["staff"], row["why"]) for row in rows}
