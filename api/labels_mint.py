"""Minting: new codes, each once and for good, and the sheets that are printed of them."""

import asyncio
from dataclasses import dataclass
from uuid import uuid4

import labels
from api.database import CHUNK, Database, Write
from api.problems import HostMissing, Unprintable
from api.records.clock import now_ms
from api.stock.lists import facility
from labels.symbols import ADDRESS_FROM_MM

ROUNDS = 20
"""With 2.75e10 possible codes a repeat is rare; a run of them means that chance is broken."""
BY_SERVER = "staff.server"
"""Who minted, where a command did and no person was signed in."""
MARGINS_MM, UNDER_MM, CODE_MM = 3.0, 7.0, 18.0
"""A single label: white beside the symbol, room for the code under it, and the code's own width."""


@dataclass(frozen=True)
class SheetOrder:
    """What to print: labels by the name of their geometry, from a position counted from 1."""

    geometry: str
    count: int
    start: int = 1
    size_mm: float | None = None


async def mint(db: Database, count: int, staff: str) -> list[str]:
    """`count` new codes. The primary key refuses a repeat, and another is drawn instead."""
    codes: list[str] = []
    rest = (now_ms(), uuid4().hex, staff)
    async with db.write() as tx:
        for _ in range(ROUNDS + count // CHUNK):
            wanted = {labels.make_code(): None for _ in range(min(CHUNK, count - len(codes)))}
            codes += await _insert(tx, list(wanted), rest)
            if len(codes) == count:
                return codes
    raise RuntimeError("New codes repeat old ones: the machine's random numbers are broken.")


async def _insert(tx: Write, codes: list[str], rest: tuple[int, str, str]) -> list[str]:
    """Insert codes and return those that were new, in the order given."""
    marks = ", ".join(["(?, ?, ?, ?)"] * len(codes))
    rows = await tx.rows(
        f"INSERT INTO label_code (code, minted_at, batch, staff) VALUES {marks} "
        "ON CONFLICT (code) DO NOTHING RETURNING code",
        *(value for code in codes for value in (code, *rest)),
    )
    new = {row["code"] for row in rows}
    return [code for code in codes if code in new]


async def is_minted(db: Database, code: str) -> bool:
    """Whether this server ever issued the code."""
    return bool(await db.rows("SELECT 1 AS one FROM label_code WHERE code = ?", code))


async def print_sheet(db: Database, order: SheetOrder, staff: str) -> tuple[bytes, str]:
    """The PDF of freshly minted labels, and the first of their codes.

    Everything that can be wrong with the order is found before a code is spent on it.
    Raises HostMissing and Unprintable with what to do.
    """
    host = await label_host(db)
    try:
        geometry = find_geometry(order.geometry)
        geometry.slot(order.start)
        labels.arrange(geometry, host, order.size_mm)
    except labels.LabelError as error:
        raise Unprintable(f"{error} No codes were used.") from error
    codes = await mint(db, order.count, staff)
    pdf = await asyncio.to_thread(
        labels.sheet_pdf, codes, geometry, host, order.size_mm, order.start
    )
    return pdf, codes[0]


async def print_one(db: Database, code: str, width_mm: float, dpi: float) -> bytes:
    """A PNG of one label, its symbol `width_mm` wide. Raises HostMissing and Unprintable."""
    carries_address = width_mm >= ADDRESS_FROM_MM
    host = await label_host(db) if carries_address else None
    try:
        geometry = labels.roll(max(width_mm + MARGINS_MM, CODE_MM), width_mm + UNDER_MM)
        return await asyncio.to_thread(labels.label_png, code, geometry, host, width_mm, dpi)
    except labels.LabelError as error:
        raise Unprintable(str(error)) from error


async def label_host(db: Database) -> str:
    """The host that symbols carry. Raises HostMissing: it is printed for good, so never guessed."""
    host = (await facility(db)).label_host
    if not host:
        raise HostMissing(str(labels.HostMissing()))
    return host


def find_geometry(name: str) -> labels.Geometry:
    """A geometry by its name. Raises Unprintable naming those there are."""
    if name not in labels.GEOMETRIES:
        known = ", ".join(labels.GEOMETRIES)
        raise Unprintable(
            f"There are no labels '{name[:60]}'. There are: {known}. No codes were used."
        )
    return labels.GEOMETRIES[name]
