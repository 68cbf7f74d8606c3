"""Prints over HTTP: ordering codes, printing them now or again, accounting for them, voiding.

A print for pieces, trays or tanks takes three steps, so that nothing is lost where one fails:
the codes are ordered here, the phone binds them, and only then the sheet is asked for. A sheet
that does not come is asked for again, with the same codes.
"""

from collections.abc import Iterator
from typing import Annotated

from litestar import get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, Parameter, PathParameter
from litestar.response import Stream

from api.access.person import Person
from api.access.problems import DOOR, NotHeld
from api.access.routes import BODY
from api.database import Database
from api.labelling import accounting, minting, printing, voiding
from api.labelling.views import (
    AgainQuestion,
    Ordered,
    OrderQuestion,
    Prints,
    PrintView,
    VoidCodes,
    VoidQuestion,
    order_of,
)
from api.problems import (
    BadBody,
    BadRequest,
    HostMissing,
    NotFound,
    SignedOut,
    Unprintable,
    raises,
)
from api.strict_body import Strict

FIRST_CODE = "Nubbin-First-Code"
PRINT = "Nubbin-Print"
Batch = Annotated[str, PathParameter(description="a print's id")]
WORDLESS = "Labels with words beside them need the words of each, in order. No codes were used."


def streamed(parts: Iterator[bytes], batch: minting.Minted, more: dict[str, str]) -> Stream:
    """A sheet as it is made: neither the server nor the line holds the whole of it."""
    name = f'inline; filename="labels-{batch.codes[0]}.pdf"'
    return Stream(parts, headers={PRINT: batch.id, "Content-Disposition": name, **more})


@post("/api/labels/prints", operation_id="order_labels", rule="lead", status_code=200,
      dto=Strict[OrderQuestion], return_dto=None,
      responses=raises(*BODY, *DOOR, HostMissing, Unprintable))  # fmt: skip
async def order(
    data: JSONBody[OrderQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Ordered:
    """New codes for labels that can be printed as asked; nothing is printed yet."""
    wanted = data.count if data.words != "code" else 0
    if len(data.said) != wanted:
        raise BadBody(WORDLESS)
    _, minted = await printing.order_labels(db, order_of(data), person.staff)
    return Ordered(minted.id, minted.codes)


@post("/api/labels/prints/{batch:str}/sheet", operation_id="print_again", rule="lead",
      dto=Strict[AgainQuestion], return_dto=None, status_code=200, media_type="application/pdf",
      skip_compression=True,
      responses=raises(*BODY, *DOOR, NotFound, HostMissing, Unprintable))  # fmt: skip
async def again(
    batch: Batch,
    data: JSONBody[AgainQuestion],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> Stream:
    """A PDF of codes that were ordered or printed before: no new ones are made."""
    codes, said, before = await printing.codes_again(
        db, batch, data.which == "unbound", frozenset(data.only)
    )
    if not codes.codes:
        raise Unprintable(
            "Of this print no label is left to be printed: each is on something, or void. "
            "Print new ones."
        )
    wanted = replace_order(before, data)
    planned = await printing.plan_to_print(db, wanted)
    parts = await printing.sheet_of(db, codes, wanted, planned, said, person.staff)
    return streamed(parts, codes, {})


def replace_order(before: minting.SheetOrder, data: AgainQuestion) -> minting.SheetOrder:
    """The order as it was, on the sheet and from the position now asked for."""
    size = before.size_mm if data.size_mm is None else data.size_mm
    return minting.SheetOrder(
        data.geometry, before.count, data.start, size, data.printer, before.words
    )


@get("/api/labels/prints", operation_id="label_prints", rule="lead",
     responses=raises(*DOOR, BadRequest))  # fmt: skip
async def prints(
    db: NamedDependency[Database],
    before: Annotated[int | None, Parameter(ge=1, le=2**53, description="a print's `at`")] = None,
) -> Prints:
    """What was printed, newest first, and what became of its codes."""
    found = await accounting.tallies(db, before)
    return Prints(db.epoch, found[: accounting.PRINTS], len(found) > accounting.PRINTS)


@get("/api/labels/prints/{batch:str}", operation_id="label_print", rule="lead",
     responses=raises(*DOOR, BadRequest, NotFound))  # fmt: skip
async def one_print(
    batch: Batch,
    db: NamedDependency[Database],
    after: Annotated[int, Parameter(ge=0, le=minting.MOST_LABELS, description="codes seen")] = 0,
) -> PrintView:
    """One print and some of its codes: unbound, bound to what, or void."""
    tally = await accounting.one_tally(db, batch)
    codes = await accounting.accounts(db, batch, after)
    return PrintView(tally, codes, after + len(codes) < tally.count)


@post("/api/labels/void", operation_id="void_labels", rule="lead", status_code=200,
      dto=Strict[VoidQuestion], return_dto=None,
      responses=raises(*BODY, *DOOR, NotFound))  # fmt: skip
async def void(
    data: JSONBody[VoidQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> voiding.Voided:
    """Mark codes that are on nothing as void, for good. What is on something is left as it is."""
    codes = data.codes
    if data.print is not None:
        await accounting.one_tally(db, data.print)
        codes = await voiding.codes_of(db, data.print)
    async with db.write() as tx:
        return await voiding.void(tx, codes, data.why, person.staff)


@get("/api/labels/void", operation_id="void_codes", rule="keeper",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def void_codes(
    db: NamedDependency[Database],
    after: Annotated[int, Parameter(ge=0, le=2**53, description="`last` of the answer before")] = 0,
) -> VoidCodes:
    """Codes that are to be put on nothing, for phones to know of."""
    found = await voiding.void_codes(db, after)
    more = len(found) > voiding.MOST_AT_ONCE
    found = found[: voiding.MOST_AT_ONCE]
    last = found[-1][0] if found else after
    return VoidCodes(db.epoch, [code for _, code in found], last, more)


print_routes = [order, again, prints, one_print, void, void_codes]
