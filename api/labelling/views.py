"""What is asked and answered about labels, as it goes over the wire."""

from typing import Annotated, Literal

from msgspec import Meta, Struct
from msgspec.structs import replace

import labels
from api.labelling.accounting import Account, Tally
from api.labelling.minting import MOST_LABELS, SheetOrder
from api.labelling.printing import Plan
from api.labelling.sheets import Sheet
from api.records.fields import Code, Key, Word

Labels = Annotated[int, Meta(ge=1, le=MOST_LABELS, description="how many labels")]
# PostgreSQL text refuses NUL: keep it out at the door.
SheetId = Annotated[str, Meta(min_length=1, max_length=64, pattern=r"^[^\u0000]*$")]
PrintId = Annotated[str, Meta(min_length=1, max_length=32, pattern=r"^[^\u0000]*$")]
Start = Annotated[int, Meta(ge=1, le=1000, description="first free position, from 1")]
SizeMm = Annotated[float, Meta(ge=1, le=200, description="the symbol's width with its border")]
Said = Annotated[str, Meta(max_length=80, pattern=r"^[^\u0000]*$")]


class GeometryView(Struct, frozen=True):
    """A sheet of labels; lengths in mm. `warnings` are sentences to show beside it, `next_start`
    the first position free after the last print on it. `own` ones are the farm's; one that cannot
    be printed on has a `problem` and no measures."""

    id: str
    name: str
    own: bool
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
    round: bool
    is_default: bool
    next_start: int
    warnings: list[str]
    problem: str | None = None


class SheetQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`start` is the first free position, from 1; `size_mm` the symbol's width with its border."""

    geometry: SheetId
    count: Labels
    start: Start = 1
    size_mm: SizeMm | None = None
    printer: Key | None = None


class OrderQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """The same, with words beside the symbols: in `said` one for each label, in order."""

    geometry: SheetId
    count: Labels
    start: Start = 1
    size_mm: SizeMm | None = None
    printer: Key | None = None
    words: labels.Words = "code"
    said: Annotated[list[Said], Meta(max_length=MOST_LABELS)] = []


class AgainQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """Codes there are, printed (again): those of `only`, or all; void ones never.

    `which` unbound leaves out what is on something already. Size and words are the print's own.
    """

    geometry: SheetId
    start: Start = 1
    size_mm: SizeMm | None = None
    printer: Key | None = None
    which: Literal["unbound", "standing"] = "unbound"
    only: Annotated[list[Code], Meta(max_length=MOST_LABELS)] = []


class MintQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    count: Labels


class Minted(Struct, frozen=True):
    codes: list[Code]


class Ordered(Struct, frozen=True):
    """A print and its codes, in order: nothing is printed yet."""

    id: str
    codes: list[Code]


class Readability(Struct, frozen=True):
    """How labels will read before they are printed, and how the printer is corrected.

    `dots` are printer dots for each square of the symbol (its module), `reach_mm` the distance
    from which it is read at most. Corrections are null where none is applied; `measured_on` names
    the page they were measured on, also where that is another.
    """

    level: Literal["good", "close", "unreadable"]
    sentence: str
    width_mm: float
    module_mm: float
    dots: float
    reach_mm: float
    dpi: float
    assumed: bool
    measured_on: str | None
    shift_x_mm: float | None = None
    shift_y_mm: float | None = None
    stretch_x_percent: float | None = None
    stretch_y_percent: float | None = None


class Prints(Struct, frozen=True):
    epoch: str
    prints: list[Tally]
    more: bool


class PrintView(Struct, frozen=True):
    """A print with some of its codes."""

    print: Tally
    codes: list[Account]
    more: bool


class VoidQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """The unbound codes of a print, or these codes; `why` is kept with who and when."""

    why: Word
    print: PrintId | None = None
    codes: Annotated[list[Code], Meta(max_length=MOST_LABELS)] = []


class VoidCodes(Struct, frozen=True):
    """Codes voided since the number asked with; ask again with `last` while there are `more`."""

    epoch: str
    codes: list[Code]
    last: int
    more: bool


def order_of(asked: SheetQuestion | OrderQuestion) -> SheetOrder:
    order = SheetOrder(asked.geometry, asked.count, asked.start, asked.size_mm, asked.printer)
    if isinstance(asked, SheetQuestion):
        return order
    return SheetOrder(
        asked.geometry, asked.count, asked.start, asked.size_mm, asked.printer,
        asked.words, tuple(asked.said),
    )  # fmt: skip


def geometry_view(sheet: Sheet, last: tuple[int, int] | None) -> GeometryView:
    """A sheet; one that cannot be printed on has a label of no size."""
    g = sheet.geometry or labels.DEFAULT
    broken = sheet.geometry is None
    across = "mm across" if g.round else f"x {g.label_height:g} mm"
    return GeometryView(
        id=sheet.id, name=sheet.name, own=sheet.own, page=g.page,
        label="" if broken else f"{g.label_width:g} {across}",
        columns=g.columns, rows=g.rows, positions=g.positions,
        label_width=g.label_width, label_height=g.label_height,
        page_width=g.page_width, page_height=g.page_height,
        pitch_x=g.pitch_x, pitch_y=g.pitch_y, left=g.left, top=g.top, round=g.round,
        is_default=sheet.geometry == labels.DEFAULT and not sheet.own,
        next_start=_next(g, last), warnings=[] if broken else g.warnings(), problem=sheet.problem,
    )  # fmt: skip


def _next(g: labels.Geometry, last: tuple[int, int] | None) -> int:
    """After a sheet that was changed meanwhile, its first position."""
    if last is None or last[0] > g.positions:
        return 1
    return g.next_free(last[1], last[0])


def reading_of(planned: Plan) -> Readability:
    found, printer = planned.verdict, planned.printer
    seen = Readability(
        found.level, found.sentence, found.width_mm, round(found.module_mm, 4),
        round(found.dots, 2), round(found.reach_mm, 1), found.dpi, printer is None,
        printer.page if printer else None,
    )  # fmt: skip
    if (adjust := planned.adjust) is None:
        return seen
    shift_x, shift_y = round(adjust.dx, 2), round(adjust.dy, 2)
    across, down = (round(100 * (factor - 1), 2) for factor in (adjust.sx, adjust.sy))
    return replace(
        seen, shift_x_mm=shift_x, shift_y_mm=shift_y,
        stretch_x_percent=across, stretch_y_percent=down,
    )  # fmt: skip
