"""Could chance alone have dealt the groups so? A permutation test whose unit is the cut.

Pieces of one cut are alike, so what chance deals is whole cuts: their labels are permuted among the
cuts that have pieces on one side only. Where a cut has pieces on both sides (bases, mouths kept,
arms drawn within a mother) its own pieces' labels are permuted within it, and nothing of what cuts
differ by enters. With C cuts whole, C1 of them in the first group, and m_c pieces in shared cut c,
m_c1 in the first group, there are choose(C, C1) times all choose(m_c, m_c1) arrangements.

The statistic is the sum of scores in the first group less its mean over all arrangements, taken
two-sided (Fay & Shaw 2010; clusters: Edgington & Onghena 2007, Randomization Tests, from memory).
All arrangements are counted up to 20,000; else draws are, (1 + as extreme) / (1 + draws) (Davison &
Hinkley 1997, section 4.3). With thousands of units the normal limit with the exact variance stands
in (Hoeffding 1951, Ann Math Stat 22:558).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import ndtr

from api.healing.compare.arrangements import (
    all_sums,
    arrangements,
    drawn_sums,
    parts_of,
    smallest_p,
    variance,
)
from api.healing.compare.scores import Kind, one_cause, pooled, scores
from api.healing.errors import RowsError, ShareError
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows

EXACT_UP_TO = 20_000
DRAWS = 9_999
MOST_CELLS = 20_000_000
"""Units times draws; beyond it drawing takes seconds, and the normal limit has long been reached.
"""


@dataclass(frozen=True)
class Permutation:
    """`statistic` is positive where the first group is earlier than chance would have it.

    smallest      the least p that this design can give, whatever the pieces do; with draws at
                  least 1 / (1 + draws). 1 where nothing can be permuted
    arrangements  of the design, this one included; None if above 10^12
    """

    p: float
    smallest: float
    arrangements: int | None
    method: Literal["exact", "drawn", "normal"]
    statistic: float


def permutation_test(
    one: IntervalRows,
    two: IntervalRows,
    cause: Cause = Cause.READY,
    kind: Kind = "sun",
    *,
    until: tuple[npt.ArrayLike, npt.ArrayLike] | None = None,
    seed: int = 0,
) -> Permutation:
    """Of two groups' share of all pieces cut that became ready (or was lost), day by day.

    `until`, a pair of (rows,): see `one_cause`. ShareError for an empty group, RowsError for
    columns that do not fit.
    """
    rows, first = pooled(one, two)
    watched = None if until is None else _days(until, (one, two))
    score = scores(one_cause(rows, cause, watched), kind)
    return permuted(score, first, rows.cluster, rows.weight, seed=seed)


def permuted(
    score: FloatArray,
    first: BoolArray,
    unit: IntArray,
    weight: IntArray | None = None,
    *,
    limit: int = EXACT_UP_TO,
    draws: int = DRAWS,
    seed: int = 0,
) -> Permutation:
    """The test on any finite scores; all (rows,), `weight` counts the pieces of a row.

    ShareError for a score that is not finite or draws below 1, RowsError for columns of unequal
    length. The same seed, the same answer.
    """
    pieces = np.ones(score.size, np.int64) if weight is None else weight
    _check(score, first, unit, pieces, draws)
    parts, observed = parts_of(score, first, unit, pieces)
    count = arrangements(parts)
    smallest = smallest_p(parts, count)
    least = abs(observed) - 1e-10 * sum(float(np.abs(part.values).sum()) for part in parts)
    if count is not None and count <= limit:
        p = float((np.abs(all_sums(parts)) >= least).mean())
        return Permutation(p, smallest, count, "exact", observed)
    if draws * sum(part.values.size for part in parts) > MOST_CELLS:
        z = abs(observed) / max(variance(parts) ** 0.5, 1e-300) if least > 0.0 else 0.0
        return Permutation(float(2.0 * ndtr(-z)), smallest, count, "normal", observed)
    extreme = int((np.abs(drawn_sums(parts, draws, seed)) >= least).sum())
    least_p = max(smallest, 1 / (1 + draws))
    return Permutation((1 + extreme) / (1 + draws), least_p, count, "drawn", observed)


def _check(
    score: FloatArray, first: BoolArray, unit: IntArray, weight: IntArray, draws: int
) -> None:
    if len({score.shape, first.shape, unit.shape, weight.shape}) > 1:
        raise RowsError("Scores, sides, units and weights need one value for each row.")
    if not np.isfinite(score).all() or draws < 1:
        raise ShareError("A score is missing or infinite, or no draw was asked for.")


def _days(
    until: tuple[npt.ArrayLike, npt.ArrayLike], sides: tuple[IntervalRows, IntervalRows]
) -> IntArray:
    found = [np.asarray(each) for each in until]
    for each, rows in zip(found, sides, strict=True):
        if each.shape != rows.left.shape or each.dtype.kind not in "iu":
            raise RowsError("'until' needs one whole number for each row of each group.")
    return np.concatenate(found).astype(np.int64)
