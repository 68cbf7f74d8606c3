"""What pieces were, as the columns of numbers that a regression takes. Pure."""

from collections import Counter
from collections.abc import Sequence

import numpy as np

from api.healing.groups import Member
from api.healing.report_notes import TRAITS
from api.healing.rows import FloatArray
from api.healing.traits import UNKNOWN

NUMBERS = frozenset({"size", "start"})
"""Traits whose values are themselves numbers."""
MOST_VALUES = 8
"""A trait of more values than this is left out: it would name single cuts."""
FEWEST = 5
"""Values of fewer pieces are put together with the commonest."""

PREDICTING = ("species", "base", "purpose", "mouths", "size", "start")
"""What is asked about every piece at the bench, and known before it heals."""


def covariates(members: Sequence[Member], traits: Sequence[str]) -> tuple[FloatArray, list[str]]:
    """Columns (pieces, k) and the trait each is of, in words; a trait that never differs gives
    none."""
    columns: list[FloatArray] = []
    names: list[str] = []
    for trait in traits:
        values = [str(getattr(one.traits, trait)) for one in members]
        found = _numbers(values) if trait in NUMBERS else _kinds(values)
        columns += found
        names += [TRAITS[trait]] * len(found)
    shape = (len(members), len(columns))
    return np.array(columns).T.reshape(shape) if columns else np.zeros(shape), names


def _numbers(values: Sequence[str]) -> list[FloatArray]:
    """The numbers, the unknown at the mean of the known, and a column that says which they are."""
    known = np.array([value != UNKNOWN for value in values])
    if not known.any():
        return []
    number = np.array([float(value) if value != UNKNOWN else np.nan for value in values])
    number[~known] = number[known].mean()
    found = [number, (~known).astype(np.float64)]
    return [column for column in found if column.min() < column.max()]


def _kinds(values: Sequence[str]) -> list[FloatArray]:
    """A column of 0 and 1 for each value but the commonest."""
    counts = Counter(values)
    often = sorted(counts, key=lambda value: (-counts[value], value))
    if len(often) > MOST_VALUES:
        return []
    kept = [value for value in often[1:] if counts[value] >= FEWEST]
    return [np.array([float(value == one) for value in values]) for one in kept]
