"""The geometries there are: those shipped, and the farm's own, which are entries of list 'sheet'.

An own one's fields are whole numbers, since a record holds no fractions: lengths in hundredths of a
millimetre, named `..._hmm`. `page` is A4, Letter, own, roll or round-roll; a roll's page is its
label, a round one is `label_width_hmm` across. An entry that does not fit its page may still come
(it was made without a network, by another version): it is listed with what is wrong with it.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import msgspec

import labels
from api.database import Rows
from api.problems import Unprintable
from api.records.fields import FieldValue
from labels.geometry import PAGES

LIST = "sheet"
MOST_POSITIONS = 1000
_MOST_HMM = 200_000
"""Two metres: no sheet or label of a roll is longer."""


@dataclass(frozen=True)
class Sheet:
    """A geometry under the id that prints name; `problem` says why it cannot be printed on."""

    id: str
    name: str
    own: bool
    geometry: labels.Geometry | None
    problem: str | None = None


async def all_sheets(db: Rows) -> list[Sheet]:
    """The farm's own, by name, then the shipped ones."""
    rows = await db.rows('SELECT id, fields FROM item WHERE "list" = ? AND NOT retired', LIST)
    own = [read_sheet(row["id"], msgspec.json.decode(row["fields"])) for row in rows]
    shipped = [Sheet(name, name, False, sheet) for name, sheet in labels.GEOMETRIES.items()]
    return [*sorted(own, key=lambda sheet: (sheet.name.lower(), sheet.id)), *shipped]


async def find_geometry(db: Rows, wanted: str) -> labels.Geometry:
    """A geometry by its id, a retired one too. Raises Unprintable naming those there are."""
    if wanted in labels.GEOMETRIES:
        return labels.GEOMETRIES[wanted]
    rows = await db.rows('SELECT fields FROM item WHERE id = ? AND "list" = ?', wanted, LIST)
    if not rows:
        known = ", ".join(sheet.id for sheet in await all_sheets(db))
        raise Unprintable(f"There are no labels '{wanted[:60]}'. There are: {known}.")
    sheet = read_sheet(wanted, msgspec.json.decode(rows[0]["fields"]))
    if sheet.geometry is None:
        raise Unprintable(f"{sheet.problem} Set it right under Labels, Own sheets.")
    return sheet.geometry


def read_sheet(key: str, fields: Mapping[str, FieldValue]) -> Sheet:
    """An entry as a geometry, or with the sentence that says why it is none."""
    given = fields.get("name")
    name = given if isinstance(given, str) and given else key
    try:
        geometry = _geometry(name, fields)
    except labels.GeometryError as error:
        return Sheet(key, name, True, None, str(error))
    return Sheet(key, name, True, geometry)


def _geometry(name: str, fields: Mapping[str, FieldValue]) -> labels.Geometry:
    def mm(field: str) -> float:
        return _whole(name, fields, f"{field}_hmm", _MOST_HMM) / 100

    page, width = fields.get("page"), mm("label_width")
    if page == "roll":
        return labels.roll(width, mm("label_height"), name)
    if page == "round-roll":
        return labels.round_roll(width, name)
    if page not in (*PAGES, "own"):
        raise labels.GeometryError(f"{name}: '{page}' is no kind of page.")
    paper = PAGES[str(page)] if page in PAGES else (mm("page_width"), mm("page_height"))
    columns, rows = (_whole(name, fields, axis, MOST_POSITIONS) for axis in ("columns", "rows"))
    if columns * rows > MOST_POSITIONS:
        raise labels.GeometryError(f"{name}: more than {MOST_POSITIONS} labels on a page.")
    return labels.Geometry(
        name, str(page), *paper, width, mm("label_height"), columns, rows,
        mm("pitch_x"), mm("pitch_y"), mm("left"), mm("top"),
    )  # fmt: skip


def _whole(name: str, fields: Mapping[str, FieldValue], field: str, most: int) -> int:
    value = fields.get(field)
    if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= most:
        what = field.removesuffix("_hmm").replace("_", " ")
        raise labels.GeometryError(f"{name}: '{what}' is missing or no number that can be used.")
    return value
