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
"""So many values of a trait, the commonest, are told apart: more would name single cuts."""
FEWEST = 5
"""Values of fewer pieces are not told apart."""

PREDICTING = ("species", "base", "purpose", "mouths", "size", "start")
"""What is asked about every piece at the bench, and known before it heals."""


def covariates(
    members: Members, traits: Sequence[str], *, whole: bool = True
) -> tuple[FloatArray, list[str]]:
    """Columns (pieces, k) and the trait each is of, in words; a trait that never differs gives
    none.

    `whole` is for a comparison, which says what it is adjusted for: a trait of over MOST_VALUES
    is left out, not half adjusted for, and rare values count as the commonest. Without it, for
    predictions, what is rare or beyond the commonest values is one kind, the others.
    """
    columns: list[FloatArray] = []
    names: list[str] = []
    for trait in traits:
        codes, values = members.codes(trait), members.values(trait)
        if trait in NUMBERS:
            found = _numbers(codes, values)
        else:
            found = _kinds(codes, values) if whole else _kinds_and_others(codes, values)
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
    """A column of 0 and 1 for each value but the commonest; none for a trait of many values."""
    often = _by_number(codes, values)
    if len(often) > MOST_VALUES:
        return []
    return [(codes == one).astype(np.float64) for one, count in often[1:] if count >= FEWEST]


def _kinds_and_others(codes: IntArray, values: Sequence[str]) -> list[FloatArray]:
    """A column for each of the commonest values but the first, and one for the others together.

    The rare are not taken for the commonest: what heals unlike it would blur what is known best.
    Where fewer than FEWEST pieces are of other values they cannot speak for themselves either.
    """
    often = _by_number(codes, values)
    told = [one for one, count in often[1:MOST_VALUES] if count >= FEWEST]
    found = [(codes == one).astype(np.float64) for one in told]
    others = ~np.isin(codes, [*[one for one, _ in often[:1]], *told])
    return [*found, others.astype(np.float64)] if others.sum() >= FEWEST else found


def _by_number(codes: IntArray, values: Sequence[str]) -> list[tuple[int, int]]:
    """(value, pieces) of those that there are, the commonest first."""
    counts = np.bincount(codes, minlength=len(values)).tolist()
    there = [(one, count) for one, count in enumerate(counts) if count]
    return sorted(there, key=lambda one: (-one[1], values[one[0]]))
