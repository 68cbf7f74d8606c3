"""What a piece was on the day it was cut and glued: what groups and filters are made of.

Only what was fixed before anything was decided about its healing. Pieces are never put together
by how they did, and a later base, purpose or tray changes nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Literal, NamedTuple, get_args

import numpy as np

from api.healing.facts import Facts
from api.healing.rows import BoolArray, IntArray
from api.healing.stock import CutFacts, Stock
from api.stock.facts import Kind, read_kind
from api.stock.lineage import Descent, Kin, Kinship, descent, number_text

By = Literal[
    "method", "base", "species", "form", "purpose", "mouths", "size", "start", "number",
    "operator", "blade", "tank", "care", "arm",
]  # fmt: skip
"""'form' the species' growth form; 'number' the cut number; 'care' what the tank was given
regularly up to the day of gluing; 'arm' within one trial, as it was drawn, whatever was then done
(intention to treat)."""

BYS: tuple[By, ...] = get_args(By)
OF_TANKS: frozenset[By] = frozenset({"tank", "care"})
"""Traits that need to know where trays stood."""
ENTRIES: frozenset[By] = frozenset({"method", "base", "species", "blade", "tank", "arm"})
"""Traits whose values are keys of list entries. Those of the others may look like one and are none.
"""

UNKNOWN = "?"
"""The value of what was not recorded: no key of a list entry can be so, and who types it as a name
does not know it either."""
NOTHING = "nothing"
"""The care of a tank that is known and was given nothing regularly: care that was given begins with
its kind."""
SIZE_STEP_MM = 10
"""Starting sizes closer than this are called the same when groups are compared."""

_WORDS: dict[By, dict[str, str]] = {
    "care": {NOTHING: "Nothing given regularly"},
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
    "care": "Tank not recorded",
    "arm": "Not drawn",
}


class Traits(NamedTuple):
    """What pieces were on day 0, as numbers: `codes[trait]`, (pieces,), are places in
    `values[trait]`, which are sorted and hold UNKNOWN for what was not recorded."""

    codes: dict[str, IntArray]
    values: dict[str, list[str]]

    def select(self, keep: BoolArray | IntArray) -> Traits:
        """The pieces where `keep` is true, or in the places `keep`."""
        return Traits({trait: codes[keep] for trait, codes in self.codes.items()}, self.values)

    def are(self, trait: str, wanted: Collection[str]) -> BoolArray:
        """Of which pieces the trait has one of these values, (pieces,)."""
        return np.array([value in wanted for value in self.values[trait]], bool)[self.codes[trait]]

    def counts(self, trait: str) -> IntArray:
        """How many pieces there are of each value."""
        return np.bincount(self.codes[trait], minlength=len(self.values[trait]))


def traits_of(stock: Stock, facts: Facts, cuts: Sequence[CutFacts], cut: IntArray) -> Traits:
    """The traits of glued pieces; `cut`, (pieces,), are their places in `cuts`."""
    found = Traits({}, {})
    for name, values in _of_cuts(cuts).items():
        _add(found, name, values, cut)
    numbers, kind = np.unique(facts.kind, return_inverse=True)
    kinds = [read_kind(stock.words[number]) for number in numbers.tolist()]
    for name, values in _of_kinds(kinds).items():
        _add(found, name, values, kind)
    held = np.array([one.purpose == "hold" for one in kinds], bool)[kind]
    _lineage(stock, found, held)
    _tank(stock, found, facts)
    return found


def _of_cuts(cuts: Sequence[CutFacts]) -> dict[str, list[str]]:
    return {
        "method": [one.method for one in cuts],
        "operator": [one.operator or UNKNOWN for one in cuts],
        "blade": [one.blade or UNKNOWN for one in cuts],
        "mother": [one.mother for one in cuts],
    }


def _of_kinds(kinds: Sequence[Kind]) -> dict[str, list[str]]:
    return {
        "base": [one.base or UNKNOWN for one in kinds],
        "purpose": [one.purpose or UNKNOWN for one in kinds],
        "mouths": [UNKNOWN if one.mouths is None else str(one.mouths) for one in kinds],
        "size": [_size(one.size_mm) for one in kinds],
        "start": [UNKNOWN if one.start is None else str(one.start) for one in kinds],
        "arm": [one.arm or UNKNOWN for one in kinds],
    }


def _lineage(stock: Stock, found: Traits, held: BoolArray) -> None:
    """Species, growth form and cut number, which pieces have from their forebears. Pieces of one
    mother differ in them at most by what they were glued for, so one walk serves all alike."""
    pairs, which = np.unique(2 * found.codes["mother"] + held, return_inverse=True)
    mothers = found.values["mother"]
    each = _descents(stock, [(mothers[pair // 2], pair % 2 == 1) for pair in pairs.tolist()])
    forms = [stock.items.get(one.species or "", {}).get("form") for one in each]
    numbers = [UNKNOWN if one.number.base is None else number_text(one.number) for one in each]
    _add(found, "species", [one.species or UNKNOWN for one in each], which)
    _add(found, "form", [one if isinstance(one, str) else UNKNOWN for one in forms], which)
    _add(found, "number", numbers, which)


def _descents(stock: Stock, pairs: Sequence[tuple[str, bool]]) -> list[Descent]:
    """What a piece has that is cut from a mother and held back or not; '' stands for the piece and
    for its cut, which no record can name so."""
    kin, mothers = dict(stock.mothers), {cut: one.mother for cut, one in stock.cuts.items()}
    kinship, found = Kinship(kin, mothers), []
    for mother, held in pairs:
        kin[""], mothers[""] = Kin("glue", "", "hold" if held else "sale"), mother
        found.append(descent("", kinship, stock.facility))
    return found


def _tank(stock: Stock, found: Traits, facts: Facts) -> None:
    """Tank and care. Pieces of one tank and one gluing day have been given the same."""
    trays, which = np.unique(facts.tray, return_inverse=True)
    names = [stock.words.get(number) for number in trays.tolist()]
    tanks, codes = stock.tanks.when(names, which, facts.begun_at)
    _add(found, "tank", [UNKNOWN if tank is None else tank for tank in tanks], codes)
    known, codes = found.values["tank"], found.codes["tank"]
    span = int(facts.begun_on.max(initial=0)) + 1
    pairs, which = np.unique(codes * span + facts.begun_on, return_inverse=True)
    ends = np.searchsorted(pairs, span * np.arange(1, len(known)))
    care = [
        UNKNOWN if tank == UNKNOWN else regime or NOTHING
        for tank, days in zip(known, np.split(pairs % span, ends), strict=True)
        for regime in stock.tanks.regimes(tank, days)
    ]
    _add(found, "care", care, which)


def _add(found: Traits, name: str, values: Sequence[str], which: IntArray) -> None:
    """A trait whose value is `values[which]`."""
    known = sorted(set(values))
    place = {value: at for at, value in enumerate(known)}
    code = np.array([place[value] for value in values], np.int64)
    found.values[name] = known
    found.codes[name] = code[which] if code.size else np.zeros(which.size, np.int64)


def name_of(stock: Stock, by: By, key: str) -> str:
    """A group's name as the facility calls it; the entry's key where it has no name."""
    if key == UNKNOWN:
        return _NOTHING[by]
    words = _WORDS.get(by, {})
    if key in words:
        return words[key]
    name = stock.items.get(key, {}).get("name") if by in ENTRIES else None
    if isinstance(name, str) and name:
        return name
    if by == "mouths" and key.isdigit():
        return "1 mouth kept" if key == "1" else f"{key} mouths kept"
    if by == "size":
        return f"{key} to {int(key) + SIZE_STEP_MM - 1} mm"
    if by == "number":
        return f"Cut number {key}"
    return f"{key[:1].upper()}{key[1:]}" if by == "care" else key


def _size(size_mm: int | None) -> str:
    return UNKNOWN if size_mm is None else str(size_mm // SIZE_STEP_MM * SIZE_STEP_MM)
