"""A pair of groups as if both had had the same mix of everything else that can be taken out."""

import numpy as np

from api.healing.alike import traits_compared
from api.healing.compare.confounded import Trait
from api.healing.comparison_shapes import Diff, Sizes
from api.healing.covariates import covariates
from api.healing.errors import HealingError
from api.healing.groups import Members
from api.healing.predict.adjusted import Difference, adjusted_difference
from api.healing.rows import IntervalRows
from api.healing.traits import By

TAKES_SPECIES = "form"
"""A species has one growth form: adjusting for the species adjusts for it."""


def adjusted(
    sides: tuple[Members, Members], rows: tuple[IntervalRows, IntervalRows], by: By, day: int,
    traits: list[Trait],
) -> tuple[Sizes | None, list[str]]:  # fmt: skip
    """(first less second, the traits adjusted for); (None, []) where it cannot be worked out.

    Left out of the adjustment is what cannot be told from the groups, and the mother, who is in
    the standard error as part of the cut.
    """
    tangled = {trait.name for trait in traits if trait.verdict == "not"}
    one, other = (side.seen for side in sides)
    wanted = [
        name for name in traits_compared(by)
        if name not in tangled and name not in ("mother", TAKES_SPECIES)
    ]  # fmt: skip
    x, names = covariates(one.joined(other), wanted)
    group = np.repeat([0, 1], [one.size, other.size])
    try:
        found = adjusted_difference(IntervalRows.joined(*rows), group, x, names, 1, 0, day)
    except HealingError:
        return None, []
    half = None if found.half is None else _diff(found.half, 1.0)
    sizes = Sizes(day, half, _diff(found.ready, 100.0), _diff(found.lost, 100.0))
    return sizes, list(dict.fromkeys(found.adjusted_for))


def _diff(found: Difference, scale: float) -> Diff:
    middle = scale * found.difference
    return Diff(middle, middle, scale * found.low, scale * found.high)
