"""What pieces were, as the columns of numbers that a regression takes. Pure."""

from collections.abc import Sequence

import numpy as np

from api.healing.groups import Members
from api.healing.report_notes import TRAITS
from api.healing.rows import FloatArray, IntArray
from api.healing.traits import UNKNOWN

NUMBERS = frozenset({"size", "start"})
"""Traits whose values are themselves numbers."""
MOST_VALUES = 8
"""A trait of more values than this is left out: it would name single cuts."""
FEWEST = 5
"""Values of fewer pieces are put together with the commonest."""

PREDICTING = ("species", "base", "purpose", "mouths", "size", "start")
"""What is asked about every piece at the bench, and known before it heals."""


def covariates(members: Members, traits: Sequence[str]) -> tuple[FloatArray, list[str]]:
    """Columns (pieces, k) and the trait each is of, in words; a trait that never differs gives
    none."""
    columns: list[FloatArray] = []
    names: list[str] = []
    for trait in traits:
        make = _numbers if trait in NUMBERS else _kinds
        found = make(members.codes(trait), members.values(trait))
        columns += found
        names += [TRAITS[trait]] * len(found)
    shape = (members.size, len(columns))
    return np.array(columns).T.reshape(shape) if columns else np.zeros(shape), names


def _numbers(codes: IntArray, values: Sequence[str]) -> list[FloatArray]:
    """The numbers, the unknown at the mean of the known, and a column that says which they are."""
    number = np.array([float(one) if one != UNKNOWN else np.nan for one in values])[codes]
    known = ~np.isnan(number)
    if not known.any():
        return []
    number[~known] = number[known].mean()
    found = [number, (~known).astype(np.float64)]
    return [column for column in found if column.min() < column.max()]


def _kinds(codes: IntArray, values: Sequence[str]) -> list[FloatArray]:
    """A column of 0 and 1 for each value but the commonest."""
    counts = np.bincount(codes, minlength=len(values))
    often = sorted(np.flatnonzero(counts).tolist(), key=lambda one: (-counts[one], values[one]))
    if len(often) > MOST_VALUES:
        return []
    return [(codes == one).astype(np.float64) for one in often[1:] if counts[one] >= FEWEST]
