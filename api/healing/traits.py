"""What a piece was on the day it was cut and glued: what groups and filters are made of.

Only what was fixed before anything was decided about its healing. Pieces are never put together
by how they did, and a later base, purpose or tray changes nothing.
"""

from collections import defaultdict
from typing import Literal, NamedTuple, get_args

from api.healing.stock import CutFacts, Stock
from api.stock.lineage import Descent, Kinship, descent, kin_of, number_text

By = Literal[
    "method", "base", "species", "form", "purpose", "mouths", "size", "start", "number",
    "operator", "blade", "tank", "care", "arm",
]  # fmt: skip
"""'form' the species' growth form; 'number' the cut number; 'care' what the tank was given
regularly; 'arm' within one trial, as it was drawn, whatever was then done (intention to treat)."""

BYS: tuple[By, ...] = get_args(By)
OF_TANKS: frozenset[By] = frozenset({"tank", "care"})
"""Traits that need to know where trays stood."""

UNKNOWN = "unknown"
SIZE_STEP_MM = 10
"""Starting sizes closer than this are called the same when groups are compared."""

_WORDS: dict[By, dict[str, str]] = {
    "purpose": {"sale": "For sale", "hold": "Held back"},
    "mouths": {"none": "No mouth kept", "part": "Part of a mouth kept"},
    "arm": {
        "none": "No mouth kept", "part": "Part of a mouth kept", "whole": "A whole mouth kept",
    },
    "form": {
        "single": "Single mouth", "massive": "Massive or encrusting", "branching": "Branching",
    },
    "start": {
        "0": "Nothing covered at the start", "1": "A quarter covered at the start",
        "2": "Half covered at the start", "3": "Most covered at the start",
        "4": "All covered at the start",
    },
}  # fmt: skip
_NOTHING: dict[By, str] = {
    "method": "Method not recorded",
    "base": "Base not recorded",
    "species": "Species not known",
    "form": "Growth form not known",
    "purpose": "Purpose not recorded",
    "mouths": "Mouths kept not recorded",
    "size": "Size not recorded",
    "start": "Encrustation at the start not recorded",
    "number": "Cut number not known",
    "operator": "Operator not recorded",
    "blade": "Blade not recorded",
    "tank": "Tank not recorded",
    "care": "Tank not recorded, or nothing given regularly",
    "arm": "Not drawn",
}


class Traits(NamedTuple):
    """What a piece was on day 0; UNKNOWN where it was not recorded."""

    method: str = UNKNOWN
    base: str = UNKNOWN
    species: str = UNKNOWN
    form: str = UNKNOWN
    purpose: str = UNKNOWN
    mouths: str = UNKNOWN
    size: str = UNKNOWN
    start: str = UNKNOWN
    number: str = UNKNOWN
    operator: str = UNKNOWN
    blade: str = UNKNOWN
    tank: str = UNKNOWN
    care: str = UNKNOWN
    arm: str = UNKNOWN
    mother: str = UNKNOWN


def traits_of(stock: Stock, piece: str, cut: CutFacts, found: Descent) -> Traits:
    """The traits of a glued piece, `found` being what it has from its forebears."""
    state, glued = stock.pieces[piece], stock.glued[piece]
    assert state.begun is not None
    tank = stock.tanks.at(glued.tray, state.begun.at)
    form = stock.items.get(found.species or "", {}).get("form")
    return Traits(
        method=cut.method,
        base=glued.base or UNKNOWN,
        species=found.species or UNKNOWN,
        form=form if isinstance(form, str) else UNKNOWN,
        purpose=glued.purpose or UNKNOWN,
        mouths=_mouths(state.mouths_kept),
        size=_size(state.size_mm),
        start=UNKNOWN if state.start is None else str(state.start),
        number=UNKNOWN if found.number.base is None else number_text(found.number),
        operator=cut.operator or UNKNOWN,
        blade=cut.blade or UNKNOWN,
        tank=tank or UNKNOWN,
        care=stock.tanks.regimes.get(tank or "", "") or UNKNOWN,
        arm=state.arm or UNKNOWN,
        mother=cut.mother,
    )


def descents(stock: Stock) -> dict[str, Descent]:
    """Species and cut number by piece. Pieces of one mother differ in these at most by purpose, so
    one walk serves all that were glued for the same."""
    kin = {piece: kin_of(state) for piece, state in stock.pieces.items()}
    kinship = Kinship(kin, {key: cut.mother for key, cut in stock.cuts.items()})
    alike: dict[tuple[str, str | None], list[str]] = defaultdict(list)
    for piece, one in kin.items():
        mother = kinship.mothers.get(one.cut or "")
        alike[(mother or piece, one.glued) if mother else (piece, None)].append(piece)
    found: dict[str, Descent] = {}
    for pieces in alike.values():
        found |= dict.fromkeys(pieces, descent(pieces[0], kinship, stock.facility))
    return found


def name_of(stock: Stock, by: By, key: str) -> str:
    """A group's name as the facility calls it; the entry's key where it has no name."""
    if key == UNKNOWN:
        return _NOTHING[by]
    name = stock.items.get(key, {}).get("name")
    if isinstance(name, str) and name:
        return name
    if by == "mouths" and key.isdigit():
        return "1 mouth kept" if key == "1" else f"{key} mouths kept"
    if by == "size":
        return f"{key} to {int(key) + SIZE_STEP_MM - 1} mm"
    if by == "number":
        return f"Cut number {key}"
    return _WORDS.get(by, {}).get(key, key)


def _size(size_mm: int | None) -> str:
    return UNKNOWN if size_mm is None else str(size_mm // SIZE_STEP_MM * SIZE_STEP_MM)


def _mouths(kept: str | int | None) -> str:
    return UNKNOWN if kept is None else str(kept)
