"""What is printed how: everything that can be wrong is found before a code is spent on it."""

import asyncio
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from uuid import uuid4

import labels
from api.database import Database, Rows
from api.labelling.accounting import accounts, one_tally
from api.labelling.minting import Minted, SheetOrder, mint
from api.labelling.printers import Printer, find_printer
from api.labelling.sheets import find_geometry
from api.problems import HostMissing, Unprintable
from api.records.clock import now_ms
from api.stock.lists import facility
from labels.symbols import ADDRESS_FROM_MM

MARGINS_MM, UNDER_MM, CODE_MM = 3.0, 7.0, 18.0
"""A single label: white beside the symbol, room for the code under it, and the code's own width."""
USUAL_DPI = 300
"""Reckoned with where no printer was chosen; nothing is refused on its account."""
SPARED = " No codes were used."


@dataclass(frozen=True)
class Plan:
    """An order that can be printed."""

    geometry: labels.Geometry
    host: str
    layout: labels.Layout
    printer: Printer | None
    verdict: labels.Verdict

    @property
    def adjust(self) -> labels.Adjustment | None:
        return self.printer.for_page(self.geometry.page) if self.printer else None


async def plan(db: Rows, order: SheetOrder) -> Plan:
    """How an order is printed. Raises HostMissing and Unprintable with what to do."""
    host = await label_host(db)
    try:
        printer = await find_printer(db, order.printer)
        geometry = await find_geometry(db, order.geometry)
        geometry.slot(order.start)
        layout = labels.arrange(geometry, host, order.size_mm, order.words)
        dpi = printer.dpi if printer else USUAL_DPI
        found = labels.verdict(layout.plan.width_mm, dpi, layout.plan.module_mm)
    except (labels.LabelError, Unprintable) as error:
        raise Unprintable(f"{error}{SPARED}") from error
    return Plan(geometry, host, layout, printer, found)


async def plan_to_print(db: Rows, order: SheetOrder) -> Plan:
    """The same, and readable. Raises Unprintable where that printer's labels would not read."""
    planned = await plan(db, order)
    if planned.printer and planned.verdict.level == "unreadable":
        raise Unprintable(f"{planned.printer.name}: {planned.verdict.sentence}{SPARED}")
    return planned


async def order_labels(db: Database, order: SheetOrder, staff: str) -> tuple[Plan, Minted]:
    """Mint the codes of an order that can be printed."""
    planned = await plan_to_print(db, order)
    return planned, await mint(db, order.count, staff, order)


async def print_sheet(
    db: Database, order: SheetOrder, staff: str
) -> tuple[Iterator[bytes], Minted]:
    """The PDF of freshly minted labels in parts, and the batch that they are."""
    planned, minted = await order_labels(db, order, staff)
    said = dict(zip(minted.codes, order.said, strict=False))
    return await sheet_of(db, minted, order, planned, said, staff), minted


async def sheet_of(
    db: Database,
    batch: Minted,
    order: SheetOrder,
    planned: Plan,
    said: Mapping[str, str],
    staff: str,
) -> Iterator[bytes]:
    """The PDF of codes there are, in parts; that it was made is noted, with where it began."""
    async with db.write() as tx:
        await tx.many(
            "INSERT INTO label_sheet (id, batch, at, staff, sheet, begins, labels) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            [(uuid4().hex, batch.id, now_ms(), staff, order.geometry, order.start,
              len(batch.codes))],
        )  # fmt: skip
    return labels.sheet_pages(
        batch.codes, planned.geometry, planned.host, order.size_mm, order.start,
        planned.printer.dpi if planned.printer else None, planned.adjust, order.words, said,
    )  # fmt: skip


async def codes_again(
    db: Rows, batch: str, unbound: bool, only: frozenset[str]
) -> tuple[Minted, dict[str, str], SheetOrder]:
    """Codes of a print to be printed again: never void ones, only unbound ones where so asked.

    With what is said beside them, and the order they came from. Raises NotFound.
    """
    tally = await one_tally(db, batch)
    everything = await accounts(db, batch, 0, tally.count)
    kept = [
        one
        for one in everything
        if one.void is None
        and not (unbound and one.holder)
        and (not only or one.code in only)
    ]  # fmt: skip
    order = SheetOrder(tally.sheet or "", len(kept), size_mm=tally.size_mm, words=tally.words)
    said = {one.code: one.said for one in kept if one.said}
    return Minted(batch, [one.code for one in kept]), said, order


async def next_starts(db: Rows) -> dict[str, tuple[int, int]]:
    """By the id of a geometry, where its last sheet began and how many labels went on it."""
    rows = await db.rows(
        "SELECT s.sheet, s.begins, s.labels FROM label_sheet s JOIN "
        "(SELECT sheet, MAX(at) AS at FROM label_sheet GROUP BY sheet) l "
        "ON l.sheet = s.sheet AND l.at = s.at"
    )
    return {row["sheet"]: (row["begins"], row["labels"]) for row in rows}


async def print_one(db: Database, code: str, width_mm: float, dpi: float) -> bytes:
    """A PNG of one label, its symbol `width_mm` wide. Raises HostMissing and Unprintable."""
    carries_address = width_mm >= ADDRESS_FROM_MM
    host = await label_host(db) if carries_address else None
    try:
        geometry = labels.roll(max(width_mm + MARGINS_MM, CODE_MM), width_mm + UNDER_MM)
        return await asyncio.to_thread(labels.label_png, code, geometry, host, width_mm, dpi)
    except labels.LabelError as error:
        raise Unprintable(str(error)) from error


async def label_host(db: Rows) -> str:
    """The host that symbols carry. Raises HostMissing: it is printed for good, so never guessed."""
    host = (await facility(db)).label_host
    if not host:
        raise HostMissing(str(labels.HostMissing()))
    return host
