"""Labels over HTTP: what sheets there are and how they read, new codes, sheets, one picture."""

from typing import Annotated

from litestar import Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, Parameter
from litestar.response import Stream

import labels
from api.access.person import Person
from api.access.problems import DOOR, NotHeld
from api.access.routes import BODY
from api.database import Database
from api.labelling import minting, printing
from api.labelling.print_routes import FIRST_CODE, print_routes, streamed
from api.labelling.sheets import all_sheets
from api.labelling.views import (
    GeometryView,
    Minted,
    MintQuestion,
    OrderQuestion,
    Readability,
    SheetQuestion,
    geometry_view,
    order_of,
    reading_of,
)
from api.problems import BadRequest, HostMissing, NotFound, SignedOut, Unprintable, raises
from api.strict_body import Strict
from labels.geometry import PAGES

PDF = ".pdf"


@get("/api/labels/geometries", operation_id="label_geometries", rule="lead",
     responses=raises(*DOOR))  # fmt: skip
async def geometries(db: NamedDependency[Database]) -> list[GeometryView]:
    """Every sheet of labels there is, the farm's own first."""
    last = await printing.next_starts(db)
    return [geometry_view(sheet, last.get(sheet.id)) for sheet in await all_sheets(db)]


@post("/api/labels/verdict", operation_id="label_verdict", rule="lead", status_code=200,
      dto=Strict[OrderQuestion], return_dto=None,
      responses=raises(*BODY, *DOOR, HostMissing, Unprintable))  # fmt: skip
async def verdict(data: JSONBody[OrderQuestion], db: NamedDependency[Database]) -> Readability:
    """How labels will read, before a code is spent on them."""
    return reading_of(await printing.plan(db, order_of(data)))


@post("/api/labels/mint", operation_id="mint_labels", rule="lead", dto=Strict[MintQuestion],
      return_dto=None, status_code=200, responses=raises(*BODY, *DOOR))  # fmt: skip
async def mint(
    data: JSONBody[MintQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Minted:
    """New codes, each once and for good."""
    return Minted((await minting.mint(db, data.count, person.staff)).codes)


@post("/api/labels/sheet", operation_id="print_labels", rule="lead", dto=Strict[SheetQuestion],
      return_dto=None, status_code=200, media_type="application/pdf", skip_compression=True,
      responses=raises(*BODY, *DOOR, HostMissing, Unprintable))  # fmt: skip
async def sheet(
    data: JSONBody[SheetQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Stream:
    """A PDF of labels with new codes; the first code stands in the header Nubbin-First-Code."""
    parts, minted = await printing.print_sheet(db, order_of(data), person.staff)
    return streamed(parts, minted, {FIRST_CODE: minted.codes[0]})


@get("/api/labels/calibration/{file:str}", operation_id="calibration_page", rule="lead",
     media_type="application/pdf", responses=raises(*DOOR, BadRequest, NotFound),
     skip_compression=True, sync_to_thread=True)  # fmt: skip
def calibration(
    file: Annotated[str, Parameter(description="A4.pdf or Letter.pdf")],
) -> Response[bytes]:
    """A page with crosses and rulers, that shows how a printer shifts and stretches."""
    page = file.removesuffix(PDF)
    if page == file or page not in PAGES:
        known = " or ".join(f"{name}{PDF}" for name in PAGES)
        raise NotFound(f"There is no such calibration page. Ask for {known}.")
    name = {"Content-Disposition": f'inline; filename="calibration-{page}.pdf"'}
    return Response(labels.calibration_pdf(page), headers=name)


@get("/api/labels/{file:str}", operation_id="label_picture", rule="keeper",
     media_type="image/png", skip_compression=True,
     responses=raises(BadRequest, SignedOut, NotHeld, NotFound, HostMissing,
                      Unprintable))  # fmt: skip
async def picture(
    db: NamedDependency[Database],
    file: Annotated[str, Parameter(description="a minted code with .png behind it")],
    width_mm: Annotated[float, Parameter(ge=1, le=200)] = 20.0,
    dpi: Annotated[float, Parameter(ge=1, le=2400)] = 300.0,
) -> Response[bytes]:
    """One label again, at a printer's own resolution, its symbol `width_mm` wide."""
    code = file.removesuffix(".png")
    if code == file or not labels.is_valid(code) or not await minting.is_minted(db, code):
        raise NotFound("No such label was issued here. Give the code of one that was.")
    return Response(await printing.print_one(db, code, width_mm, dpi))


routes = [geometries, verdict, mint, sheet, calibration, picture, *print_routes]
