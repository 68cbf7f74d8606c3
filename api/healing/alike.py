"""What else differs between two groups, by its trait, in words a lead can act on. Pure."""

from collections.abc import Sequence

import numpy as np

from api.healing.compare.confounded import EVERY, HARDLY, Common, Trait, confounded
from api.healing.groups import Members
from api.healing.report_notes import BELONGS, TRAITS
from api.healing.rows import IntArray
from api.healing.stock import Stock
from api.healing.traits import UNKNOWN, By, name_of


def traits_compared(by: By) -> list[str]:
    """The traits by which groups made `by` may differ besides."""
    without = BELONGS.get(by, frozenset()) | {by, "arm"}
    return [trait for trait in TRAITS if trait not in without]


def differences(one: Members, other: Members, traits: Sequence[str]) -> list[Trait]:
    """How far each of these traits can be told from what is compared; both of one table."""
    return confounded(
        _codes(one, traits), _codes(other, traits), (one.seen.cluster, other.seen.cluster)
    )


def _codes(members: Members, traits: Sequence[str]) -> dict[str, IntArray]:
    """Codes of each seen piece by trait, (pieces,); -1 is unknown."""
    found = {}
    for trait in traits:
        known = np.array([value != UNKNOWN for value in members.values(trait)], bool)
        codes = members.seen.codes(trait)
        found[trait] = np.where(known[codes], codes, -1)
    return found


def inseparable(stock: Stock, one: Members, other: Members, found: Sequence[Trait]) -> list[str]:
    """A sentence for each trait that cannot be told from the groups."""
    return [_sentence(stock, one, other, trait) for trait in found if trait.verdict == "not"]


def _sentence(stock: Stock, one: Members, other: Members, trait: Trait) -> str:
    word = TRAITS[trait.name]
    for members, common in ((one, trait.one), (other, trait.two)):
        if common.share >= EVERY and common.elsewhere <= HARDLY:
            return _every(stock, members, common, trait)
    return f"{one.name} and {other.name} have hardly any {word} in common."


def _every(stock: Stock, members: Members, common: Common, trait: Trait) -> str:
    value = members.values(trait.name)[common.value]
    every = "Every" if common.share == 1.0 else "Nearly every"
    unit = "cut" if trait.unit == "cuts" else "piece"
    if trait.name == "mother":
        return f"{every} {unit} of {members.name} is of one mother."
    name = name_of(stock, trait.name, value)  # type: ignore[arg-type]
    return f"{every} {unit} of {members.name} has the {TRAITS[trait.name]} '{name}'."
