"""What else differs between two groups, by its trait, in words a lead can act on. Pure."""

from collections.abc import Sequence

import numpy as np

from api.healing.compare.confounded import EVERY, HARDLY, Common, Trait, confounded
from api.healing.groups import Member, Members
from api.healing.report_notes import TRAITS, VARIED
from api.healing.rows import IntArray
from api.healing.stock import Stock
from api.healing.traits import UNKNOWN, By, name_of

BELONGS: dict[By, frozenset[str]] = {
    "species": frozenset({"form", "mother", "number"}),
    "form": frozenset({"species", "mother", "number"}),
    "tank": frozenset({"care"}),
    "care": frozenset({"tank"}),
    "method": frozenset({"blade"}),
    "arm": VARIED | {"mouths", "blade"},
    "number": frozenset({"mother"}),
}
"""Traits that come with what is compared: no other mix of them could have been had."""


def traits_compared(by: By) -> list[str]:
    """The traits by which groups made `by` may differ besides."""
    without = BELONGS.get(by, frozenset()) | {by, "arm"}
    return [trait for trait in TRAITS if trait not in without]


class Codes:
    """Values of each trait as numbers, the same in both groups; -1 is unknown."""

    def __init__(self, traits: Sequence[str]) -> None:
        self.traits = traits
        self.values: dict[str, list[str]] = {trait: [] for trait in traits}
        self._known: dict[str, dict[str, int]] = {trait: {} for trait in traits}

    def of(self, members: Sequence[Member]) -> dict[str, IntArray]:
        """Codes of each piece by trait, (pieces,)."""
        return {
            trait: np.array([self._code(trait, one) for one in members], np.int64)
            for trait in self.traits
        }

    def _code(self, trait: str, one: Member) -> int:
        value: str = getattr(one.traits, trait)
        if value == UNKNOWN:
            return -1
        known = self._known[trait]
        if value not in known:
            known[value] = len(known)
            self.values[trait].append(value)
        return known[value]


def differences(
    one: Members, other: Members, cuts: tuple[IntArray, IntArray], codes: Codes
) -> list[Trait]:
    """How far each other trait can be told from what is compared; `cuts` number both alike."""
    return confounded(codes.of(one.seen), codes.of(other.seen), cuts)


def inseparable(
    stock: Stock, one: Members, other: Members, found: Sequence[Trait], codes: Codes
) -> list[str]:
    """A sentence for each trait that cannot be told from the groups."""
    return [_sentence(stock, one, other, trait, codes) for trait in found if trait.verdict == "not"]


def _sentence(stock: Stock, one: Members, other: Members, trait: Trait, codes: Codes) -> str:
    word = TRAITS[trait.name]
    for members, common in ((one, trait.one), (other, trait.two)):
        if common.share >= EVERY and common.elsewhere <= HARDLY:
            return _every(stock, members, common, trait, codes)
    return f"{one.name} and {other.name} have hardly any {word} in common."


def _every(stock: Stock, members: Members, common: Common, trait: Trait, codes: Codes) -> str:
    value = codes.values[trait.name][common.value]
    every = "Every" if common.share == 1.0 else "Nearly every"
    unit = "cut" if trait.unit == "cuts" else "piece"
    if trait.name == "mother":
        return f"{every} {unit} of {members.name} is of one mother."
    name = name_of(stock, trait.name, value)  # type: ignore[arg-type]
    return f"{every} {unit} of {members.name} has the {TRAITS[trait.name]} '{name}'."
