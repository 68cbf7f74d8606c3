"""What else differs between two groups, and so cannot be told from what they are compared by.

'Every band-saw cut was on tile': then tile and band saw are one thing, and no arithmetic parts
them. A trait that is the same for all pieces of each cut is counted by cuts, any other by pieces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from api.healing.errors import RowsError
from api.healing.rows import BoolArray, FloatArray, IntArray

Verdict = Literal["separable", "partly", "not"]

EVERY = 0.95
"""From this share on 'every' is said of a group."""
HARDLY = 0.1
"""Up to this share a value is hardly found in the other group."""
MOSTLY = 0.8
"""From this share on the other group is like a group that has nothing else."""
IN_COMMON = 0.5
"""The share of units, by value the smaller of both groups, that makes a trait comparable."""
MANY = 4.0
"""With as many values in both groups, none of them prevailing, values differ as cuts do."""


@dataclass(frozen=True)
class Common:
    """A group's commonest value (the least code among equals): its share of the group's known
    units, and of the other group's."""

    value: int
    share: float
    elsewhere: float
    known: int
    unknown: int


@dataclass(frozen=True)
class Trait:
    """`unit` says what shares count. `in_common`: sum over values of the smaller share, 0 to 1."""

    name: str
    verdict: Verdict
    unit: Literal["cuts", "pieces"]
    one: Common
    two: Common
    in_common: float


def confounded(
    one: Mapping[str, npt.ArrayLike],
    two: Mapping[str, npt.ArrayLike],
    cuts: tuple[npt.ArrayLike, npt.ArrayLike],
) -> list[Trait]:
    """How far each trait can be told from the group, in the order given.

    one, two: codes of each piece by trait, (pieces,), -1 unknown; `cuts` the numbers of their cuts,
    shared between the groups. A trait of which a group knows nothing is left out.
      not        all of one group (95 %) has a value hardly found (10 %) in the other; or values
                 have hardly anything in common, and are few on a side
      partly     all of one group has a value that much of the other (20 %) has not; or less than
                 half is in common
      separable  else
    RowsError for columns that do not fit, or codes that are not whole numbers from -1 on.
    """
    if set(one) != set(two):
        raise RowsError("Both groups need the same traits. Nothing was compared.")
    numbers = [_codes("cuts", each, None, -(2**62)) for each in cuts]
    found = []
    for name in one:
        values = [
            _codes(name, side[name], at.size, -1)
            for side, at in zip((one, two), numbers, strict=True)
        ]
        if all((each >= 0).any() for each in values):
            found.append(_trait(name, values, numbers))
    return found


def _trait(name: str, values: list[IntArray], cuts: list[IntArray]) -> Trait:
    fixed = _fixed(np.concatenate(values), np.concatenate(cuts))
    units = [_of_cuts(v, c) for v, c in zip(values, cuts, strict=True)] if fixed else values
    names = np.unique(np.concatenate([each[each >= 0] for each in units]))
    shares = [np.array([(each == v).sum() for v in names]) / (each >= 0).sum() for each in units]
    one = _common(names, shares[0], shares[1], units[0])
    two = _common(names, shares[1], shares[0], units[1])
    both = float(np.minimum(shares[0], shares[1]).sum())
    verdict = _verdict(one, two, both, min(1.0 / float(s @ s) for s in shares))
    return Trait(name, verdict, "cuts" if fixed else "pieces", one, two, both)


def _verdict(one: Common, two: Common, both: float, values: float) -> Verdict:
    """`values`: the smaller of the groups' effective numbers of values, 1 / sum of squared shares
    (Simpson 1949, Nature 163:688; Hill 1973, Ecology 54:427, from memory)."""
    whole = [each for each in (one, two) if each.share >= EVERY]
    if any(each.elsewhere <= HARDLY for each in whole) or (both <= HARDLY and values < MANY):
        return "not"
    if any(each.elsewhere < MOSTLY for each in whole) or both < IN_COMMON:
        return "partly"
    return "separable"


def _fixed(values: IntArray, cuts: IntArray) -> bool:
    """Whether no cut has pieces of two known values."""
    pairs = np.unique(np.stack((cuts, values))[:, values >= 0], axis=1)
    return bool(np.unique(pairs[0]).size == pairs.shape[1])


def _of_cuts(values: IntArray, cuts: IntArray) -> IntArray:
    """The value of each cut; -1 where none of its pieces has a known one."""
    names, code = np.unique(cuts, return_inverse=True)
    out = np.full(names.size, -1, np.int64)
    np.maximum.at(out, code, values)
    return out


def _common(names: IntArray, here: FloatArray, there: FloatArray, units: IntArray) -> Common:
    top, known = int(np.argmax(here)), int((units >= 0).sum())
    return Common(int(names[top]), float(here[top]), float(there[top]), known, units.size - known)


def _codes(name: str, values: npt.ArrayLike, size: int | None, least: int) -> IntArray:
    found = np.asarray(values)
    bad: BoolArray | bool = found.dtype.kind not in "iu" and found.size > 0
    if bad or found.ndim != 1 or size not in (None, found.size) or (found < least).any():
        raise RowsError(
            f"'{name}' needs one whole number for each piece, -1 where unknown. Nothing was "
            "compared."
        )
    return found.astype(np.int64)
