"""Lineage is resolved on reading: a glued piece's species and line are its mother's, and its cut
number follows from its forebears'. Nothing of it is stored, so a correction to a colony is seen
at once in everything that was cut from it. The same walk stands in TypeScript and both run the
cases of `fixtures/fold/lineage.json`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from msgspec import Struct

from api.records.fields import Purpose
from api.stock.lists import Facility
from api.stock.state import PieceState


@dataclass(frozen=True)
class Kin:
    """What of a piece decides its lineage and that of its descendants.

    glued  purpose at gluing, which a later change of purpose does not alter; None for a colony
    """

    begun: Literal["arrival", "glue"] | None
    cut: str | None = None
    glued: Purpose | None = None
    species: str | None = None
    line: str | None = None
    origin: Literal["wild", "farmed", "unknown"] | None = None
    cut_number: int | None = None


@dataclass(frozen=True)
class Kinship:
    """Pieces by id, and the mother of each cut that is known."""

    kin: Mapping[str, Kin]
    mothers: Mapping[str, str]


class CutNumber(Struct, frozen=True):
    """How many cuts lie between a piece and the wild: base + plus; `base` None where unknown."""

    base: int | None
    plus: int


class Descent(Struct, frozen=True):
    """What a piece has from its forebears."""

    species: str | None
    line: str | None
    number: CutNumber


def kin_of(state: PieceState) -> Kin:
    """A piece's part in the lineage, from its state."""
    kind = state.begun.kind if state.begun else None
    return Kin(kind, state.cut, state.glued_for,
               state.species, state.line, state.origin, state.cut_number)  # fmt: skip


def forebears(piece: str, kinship: Kinship) -> list[str]:
    """Mothers of a piece, nearest first. Ends at an arrival, an unknown cut, or a closing loop."""
    seen, found = {piece}, list[str]()
    cut = _cut(piece, kinship)
    while cut is not None:
        mother = kinship.mothers.get(cut)
        if mother is None or mother in seen:
            break
        seen.add(mother)
        found.append(mother)
        cut = _cut(mother, kinship)
    return found


def descent(piece: str, kinship: Kinship, settings: Facility) -> Descent:
    """Species, line and cut number of a piece, from the colony at the end of its lineage."""
    chain = [piece, *forebears(piece, kinship)]
    kin = [found for each in chain if (found := kinship.kin.get(each)) is not None]
    plus = sum(1 for each in kin if _counts(each, settings.held_back_keeps))
    origin = kinship.kin.get(chain[-1])
    if origin is None or origin.begun != "arrival":
        return Descent(None, None, CutNumber(None, plus))
    base = settings.wild_number if origin.origin == "wild" else origin.cut_number
    return Descent(origin.species, origin.line, CutNumber(base, plus))


def number_text(number: CutNumber) -> str:
    """'3', or '?+2' where it is unknown what the colony at the end counted."""
    if number.base is None:
        return f"?+{number.plus}"
    return str(number.base + number.plus)


def _cut(piece: str, kinship: Kinship) -> str | None:
    found = kinship.kin.get(piece)
    return found.cut if found else None


def _counts(kin: Kin, held_back_keeps: bool) -> bool:
    """Whether a piece's own gluing adds one to its mother's number."""
    return kin.begun == "glue" and not (held_back_keeps and kin.glued == "hold")
