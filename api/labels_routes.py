"""Labels over HTTP: what sheets there are, new codes, a sheet to print, one label as a picture."""

from typing import Annotated

from litestar import Response, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody, Parameter
from msgspec import Meta, Struct

import labels
from api import labels_mint
from api.access.person import Person
from api.access.problems import DOOR, NotHeld
from api.access.routes import BODY
from api.database import Database
from api.problems import (
    BadRequest,
    HostMissing,
    NotFound,
    SignedOut,
    Unprintable,
    raises,
)
from api.records.fields import Code
from api.strict_body import Strict

FIRST_CODE = "Nubbin-First-Code"
Labels = Annotated[int, Meta(ge=1, le=5000, description="how many labels")]


class GeometryView(Struct, frozen=True):
    """A sheet of labels; lengths in mm. `warnings` are sentences to show beside it."""

    id: str
    page: str
    label: str
    columns: int
    rows: int
    positions: int
    label_width: float
    label_height: float
    page_width: float
    page_height: float
    pitch_x: float
    pitch_y: float
    left: float
    top: float
    is_default: bool
    warnings: list[str]


class SheetQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`start` is the first free position, from 1; `size_mm` the symbol's width with its border."""

    geometry: Annotated[str, Meta(min_length=1, max_length=64)]
    count: Labels
    start: Annotated[int, Meta(ge=1, le=1000)] = 1
    size_mm: Annotated[float, Meta(ge=1, le=200)] | None = None


class MintQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    count: Labels


class Minted(Struct, frozen=True):
    codes: list[Code]


@get(
    "/api/labels/geometries",
    operation_id="label_geometries",
    rule="lead",
    responses=raises(*DOOR),
    sync_to_thread=False,
)
def geometries() -> list[GeometryView]:
    """Every sheet of labels that can be printed."""
    return [
        GeometryView(
            id=sheet.name,
            page=sheet.page,
            label=f"{sheet.label_width:g} x {sheet.label_height:g} mm",
            columns=sheet.columns,
            rows=sheet.rows,
            positions=sheet.positions,
            label_width=sheet.label_width,
            label_height=sheet.label_height,
            page_width=sheet.page_width,
            page_height=sheet.page_height,
            pitch_x=sheet.pitch_x,
            pitch_y=sheet.pitch_y,
            left=sheet.left,
            top=sheet.top,
            is_default=sheet == labels.DEFAULT,
            warnings=sheet.warnings(),
        )
        for sheet in labels.GEOMETRIES.values()
    ]


@post(
    "/api/labels/mint",
    operation_id="mint_labels",
    rule="lead",
    dto=Strict[MintQuestion],
    return_dto=None,
    status_code=200,
    responses=raises(*BODY, *DOOR),
)
async def mint(
    data: JSONBody[MintQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Minted:
    """New codes, each once and for good."""
    return Minted(await labels_mint.mint(db, data.count, person.staff))


@post(
    "/api/labels/sheet",
    operation_id="print_labels",
    rule="lead",
    dto=Strict[SheetQuestion],
    return_dto=None,
    status_code=200,
    media_type="application/pdf",
    responses=raises(*BODY, *DOOR, HostMissing, Unprintable),
    skip_compression=True,
)
async def sheet(
    data: JSONBody[SheetQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Response[bytes]:
    """A PDF of labels with new codes; the first code stands in the header Nubbin-First-Code."""
    order = labels_mint.SheetOrder(data.geometry, data.count, data.start, data.size_mm)
    pdf, first = await labels_mint.print_sheet(db, order, person.staff)
    return Response(
        pdf,
        headers={
            FIRST_CODE: first,
            "Content-Disposition": f'inline; filename="labels-{first}.pdf"',
        },
    )


@get(
    "/api/labels/{file:str}",
    operation_id="label_picture",
    rule="keeper",
    media_type="image/png",
    responses=raises(BadRequest, SignedOut, NotHeld, NotFound, HostMissing, Unprintable),
    skip_compression=True,
)
async def picture(
    db: NamedDependency[Database],
    file: Annotated[str, Parameter(description="a minted code with .png behind it")],
    width_mm: Annotated[float, Parameter(ge=1, le=200)] = 20.0,
    dpi: Annotated[float, Parameter(ge=1, le=2400)] = 300.0,
) -> Response[bytes]:
    """One label again, at a printer's own resolution, its symbol `width_mm` wide."""
    code = file.removesuffix(".png")
    if code == file or not labels.is_valid(code) or not await labels_mint.is_minted(db, code):
        raise NotFound("No such label was issued here. Give the code of one that was.")
    return Response(await labels_mint.print_one(db, code, width_mm, dpi))


routes = [geometries, mint, sheet, picture]
