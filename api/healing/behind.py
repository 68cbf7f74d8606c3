"""GET /api/healing/pieces, rows.csv: the pieces that a number of the report counts.

Every count of the report is a count of these lists, so a number that looks odd can be followed to
the pieces and their looks, and the arithmetic be done again by other software.
"""

import asyncio
import csv
import io
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator
from typing import Annotated, Literal, NamedTuple, cast

import numpy as np
from litestar import Response, get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec import Struct
from msgspec.structs import replace

from api.access.problems import NotHeld
from api.database import Database
from api.healing.asked import ASKED, Asked
from api.healing.groups import Grouped, Members, Table, grouped
from api.healing.intervals import CAUSES, FATES, REASONS, Fate
from api.healing.notes import WHY
from api.healing.rows import BoolArray, Cause
from api.healing.stock import Stock, read_stock
from api.healing.traits import BYS, name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import now_ms
from api.stock.projection import decode_state

PAGE = 200
ALL = "all"
Of = Literal[
    "pieces", "ready", "lost", "healing", "withdrawn", "never-checked", "missing",
    "lost-after-ready", "excluded",
]  # fmt: skip

OUTCOMES = {Cause.READY: "ready", Cause.LOST: "lost", Cause.STILL: "healing"}
RISKY = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so is a formula to a spreadsheet; an apostrophe before it is usual."""


class PieceBehind(Struct, frozen=True):
    """One piece and what it met with. left and right as in the arithmetic: the event is in
    (left, right], or the last looks; None where it was never looked at. Of one that is left out
    there is neither, and `why` says why. tray and place are where it stands today."""

    id: str
    code: str | None
    cut: str | None
    cut_day: str | None
    tray: str | None
    place: str | None
    fate: Fate | None
    left: int | None
    right: int | None
    why: str | None


class Behind(Struct, frozen=True):
    """A page of the pieces behind a number; `after` begins the next page, None on the last."""

    name: str
    of: Of
    total: int
    pieces: list[PieceBehind]
    after: str | None


@get("/api/healing/pieces", operation_id="healing_pieces", rule="keeper",
     dependencies=ASKED, responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def pieces_route(
    db: NamedDependency[Database],
    asked: NamedDependency[Asked],
    group: Annotated[str, Parameter(description="a group's key, or 'all'")] = ALL,
    of: Annotated[Of, Parameter(description="which of its pieces")] = "pieces",
    after: Annotated[str | None, Parameter(description="the `after` of the page before")] = None,
) -> Behind:
    """The pieces that a number of the report counts, in pages of 200."""
    stock = await read_stock(db, now_ms(), tanks=asked.needs_tanks, ids=True)
    found = await asyncio.to_thread(behind, stock, asked, group, of, after)
    page = [one.id for one in found.pieces]
    codes, standing = await codes_of(db, page), await standing_of(db, page)
    listed = [
        replace(one, code=codes.get(one.id), tray=where.tray, place=where.place)
        for one in found.pieces
        for where in (standing.get(one.id, NOWHERE),)
    ]
    return replace(found, pieces=listed)


@get("/api/healing/rows.csv", operation_id="healing_rows", rule="keeper",
     dependencies=ASKED, media_type="text/csv",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def rows_route(db: NamedDependency[Database], asked: NamedDependency[Asked]) -> Response[str]:
    """One row a piece that was looked at, in the columns that `nubbin estimate` reads."""
    stock = await read_stock(db, now_ms(), tanks=True, ids=True)
    text = await asyncio.to_thread(rows_csv, stock, asked)
    named = {"content-disposition": 'attachment; filename="healing-pieces.csv"'}
    return Response(text, media_type="text/csv", headers=named)


def behind(stock: Stock, asked: Asked, group: str, of: Of, after: str | None = None) -> Behind:
    """The page of the pieces of one number that follows on `after`, in order of their ids, but for
    their codes and where they stand; BadRequest where the report has no such group. Pure."""
    members = _members(stock, asked, group)
    at = members.out if of == "excluded" else members.at[_counted(members, of)]
    # The table is in order of the pieces' ids, and so is every part of it.
    ids = [stock.pieces[place] for place in members.table.place[at].tolist()]
    begin = 0 if after is None else bisect_right(ids, after)
    page = [
        _piece(members.table, int(row), piece)
        for row, piece in zip(at[begin : begin + PAGE], ids[begin : begin + PAGE], strict=True)
    ]
    more = page[-1].id if len(ids) > begin + PAGE else None
    return Behind(members.name, of, len(ids), page, more)


def ids_of(stock: Stock, members: Members) -> list[str]:
    """The ids of a group's pieces, in its order; of a stock that was read with them."""
    return [stock.pieces[place] for place in members.table.place[members.at].tolist()]


def _counted(members: Members, of: Of) -> BoolArray:
    """Which of the pieces that count a number counts, (pieces,)."""
    watch = members.watch
    if of == "pieces":
        return np.ones(members.size, bool)
    if of == "missing":
        return watch.missing
    if of == "lost-after-ready":
        return watch.lost_after_ready
    return np.asarray(watch.fate == FATES.index(cast(Fate, of)))


def rows_csv(stock: Stock, asked: Asked) -> str:
    """The pieces as a table: left, right, outcome, seen_alive, cut, group, then what each was."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n").writerow
    write(["left", "right", "outcome", "seen_alive", "cut", "group", "piece", *BYS])
    groups = _grouped(stock, asked).groups
    named = Counter(group.name for group in groups)
    for group in groups:
        name = group.name if named[group.name] == 1 else f"{group.name} ({group.key})"
        for row in _rows(stock, group, name):
            write(map(harmless, row))
    return out.getvalue()


def harmless(cell: str) -> str:
    """The cell, kept from being taken for a formula."""
    return f"'{cell}" if cell.startswith(RISKY) else cell


def _rows(stock: Stock, group: Members, name: str) -> Iterator[list[str]]:
    seen, watch, table = group.seen, group.seen.watch, group.table
    names = {by: [name_of(stock, by, value) for value in seen.values(by)] for by in BYS}
    traits = zip(
        *([names[by][code] for code in seen.codes(by).tolist()] for by in BYS), strict=True
    )
    columns = (seen.at.tolist(), watch.left.tolist(), watch.right.tolist(),
               CAUSES[watch.fate].tolist(), traits)  # fmt: skip
    for at, left, right, cause, was in zip(*columns, strict=True):
        still = cause == Cause.STILL
        yield [
            str(left), "" if still else str(right), OUTCOMES[cause], str(right) if still else "",
            table.clusters[table.cluster[at]], name, stock.pieces[table.place[at]], *was,
        ]  # fmt: skip


def _grouped(stock: Stock, asked: Asked) -> Grouped:
    return grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only)


def _members(stock: Stock, asked: Asked, group: str) -> Members:
    found = _grouped(stock, asked)
    if group == ALL:
        return found.all
    for one in found.groups:
        if one.key == group:
            return one
    raise BadRequest(
        f"There is no group '{group}' in this report any more. Go back and fetch it again."
    )


def _piece(table: Table, row: int, piece: str) -> PieceBehind:
    cut, reason = table.cuts[table.cut[row]], int(table.reason[row])
    fate = FATES[table.watch.fate[row]]
    seen = reason < 0 and fate != "never-checked"
    return PieceBehind(
        piece, None, cut.id, cut.day, None, None, fate if reason < 0 else None,
        int(table.watch.left[row]) if seen else None,
        int(table.watch.right[row]) if seen else None,
        None if reason < 0 else WHY[REASONS[reason]],
    )  # fmt: skip


class Standing(NamedTuple):
    """Where a piece stands today."""

    tray: str | None
    place: str | None


NOWHERE = Standing(None, None)


async def standing_of(db: Database, pieces: list[str]) -> dict[str, Standing]:
    """Where each piece stands."""
    rows = await db.rows_in("SELECT id, state FROM piece WHERE id IN (?)", pieces)
    states = {row["id"]: decode_state(row["state"]) for row in rows}
    return {piece: Standing(state.tray, state.place) for piece, state in states.items()}


async def codes_of(db: Database, pieces: list[str]) -> dict[str, str]:
    """The newest code that each piece holds; of two claims to one code the lower holds it."""
    rows = await db.rows_in(
        "SELECT c.piece, c.code FROM claim c WHERE c.piece IN (?) AND NOT EXISTS "
        "(SELECT 1 FROM claim o WHERE o.code = c.code AND "
        "(o.at < c.at OR (o.at = c.at AND o.record < c.record))) ORDER BY c.at, c.record",
        pieces,
    )
    return {row["piece"]: row["code"] for row in rows}


routes = [pieces_route, rows_route]
