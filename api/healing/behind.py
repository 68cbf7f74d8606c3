"""GET /api/healing/pieces, rows.csv: the pieces that a number of the report counts.

Every count of the report is a count of these lists, so a number that looks odd can be followed to
the pieces and their looks, and the arithmetic be done again by other software.
"""

import asyncio
import csv
import io
from collections.abc import Callable, Iterable
from typing import Annotated, Literal

from litestar import Response, get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec import Struct

from api.access.problems import NotHeld
from api.database import Database
from api.healing.asked import ASKED, Asked
from api.healing.groups import Member, Members, all_in_one, grouped
from api.healing.notes import REASONS
from api.healing.rows import Cause
from api.healing.stock import Stock, read_stock
from api.healing.traits import BYS, name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import now_ms

PAGE = 200
ALL = "all"
Of = Literal[
    "pieces", "ready", "lost", "healing", "withdrawn", "never-checked", "missing",
    "lost-after-ready", "excluded",
]  # fmt: skip

_IS: dict[Of, Callable[[Member], bool]] = {
    "pieces": lambda _: True,
    "missing": lambda one: one.watch.missing,
    "lost-after-ready": lambda one: one.watch.lost_after_ready,
}
OUTCOMES = {Cause.READY: "ready", Cause.LOST: "lost", Cause.STILL: "healing"}
RISKY = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so is a formula to a spreadsheet; an apostrophe before it is usual."""


class PieceBehind(Struct, frozen=True):
    """One piece. left and right as in the arithmetic: the event is in (left, right], or the last
    looks; None where it was never looked at or is left out, and `why` then says why."""

    id: str
    code: str | None
    cut: str | None
    cut_day: str | None
    tray: str | None
    place: str | None
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
    stock = await read_stock(db, now_ms(), tanks=asked.needs_tanks)
    found = await asyncio.to_thread(behind, stock, asked, group, of)
    ids = [piece for piece, _ in found.pieces if after is None or piece > after]
    shown = dict(found.pieces)
    page = ids[:PAGE]
    codes = await codes_of(db, page)
    listed = [_piece(stock, piece, shown[piece], codes.get(piece)) for piece in page]
    return Behind(found.name, of, len(found.pieces), listed, page[-1] if ids[PAGE:] else None)


@get("/api/healing/rows.csv", operation_id="healing_rows", rule="keeper",
     dependencies=ASKED, media_type="text/csv",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def rows_route(db: NamedDependency[Database], asked: NamedDependency[Asked]) -> Response[str]:
    """One row a piece that was looked at, in the columns that `nubbin estimate` reads."""
    stock = await read_stock(db, now_ms(), tanks=True)
    text = await asyncio.to_thread(rows_csv, stock, asked)
    named = {"content-disposition": 'attachment; filename="healing-pieces.csv"'}
    return Response(text, media_type="text/csv", headers=named)


class Found(Struct, frozen=True):
    """Pieces in order of their ids, each with its member, or with the reason it is left out."""

    name: str
    pieces: list[tuple[str, Member | str]]


def behind(stock: Stock, asked: Asked, group: str, of: Of) -> Found:
    """The pieces of one number; BadRequest where the report has no such group."""
    members = _members(stock, asked, group)
    if of == "excluded":
        return Found(members.name, sorted((p, REASONS[why]) for p, why in members.excluded))
    counts = _IS.get(of) or _met_with(of)
    return Found(members.name, sorted((m.piece, m) for m in members.pieces if counts(m)))


def _met_with(fate: str) -> Callable[[Member], bool]:
    return lambda one: one.watch.fate == fate


def rows_csv(stock: Stock, asked: Asked) -> str:
    """The pieces as a table: left, right, outcome, seen_alive, cut, group, then what each was."""
    out = io.StringIO()
    write = csv.writer(out, lineterminator="\r\n").writerow
    write(["left", "right", "outcome", "seen_alive", "cut", "group", "piece", *BYS])
    for group in grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only).groups:
        for one in sorted(group.seen, key=lambda one: one.piece):
            write(map(harmless, _row(stock, group, one)))
    return out.getvalue()


def harmless(cell: str) -> str:
    """The cell, kept from being taken for a formula."""
    return f"'{cell}" if cell.startswith(RISKY) else cell


def _row(stock: Stock, group: Members, one: Member) -> Iterable[str]:
    cause = one.watch.cause
    assert cause is not None
    still = cause == Cause.STILL
    yield str(one.watch.left)
    yield "" if still else str(one.watch.right)
    yield OUTCOMES[cause]
    yield str(one.watch.right) if still else ""
    yield "/".join(filter(None, one.cluster))
    yield group.name
    yield one.piece
    for by in BYS:
        yield name_of(stock, by, getattr(one.traits, by))


def _members(stock: Stock, asked: Asked, group: str) -> Members:
    groups = grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only).groups
    if group == ALL:
        return all_in_one(groups)
    for one in groups:
        if one.key == group:
            return one
    raise BadRequest(
        f"There is no group '{group}' in this report any more. Go back and fetch it again."
    )


def _piece(stock: Stock, piece: str, one: Member | str, code: str | None) -> PieceBehind:
    state = stock.pieces[piece]
    cut = stock.cuts.get(state.cut or "")
    left = right = why = None
    if isinstance(one, str):
        why = one
    elif one.watch.cause is not None:
        left, right = one.watch.left, one.watch.right
    return PieceBehind(
        piece, code, state.cut, cut.day if cut else None, state.tray, state.place, left, right, why
    )  # fmt: skip


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
