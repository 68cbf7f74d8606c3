"""A score for each piece: high where it was ready earlier than its peers, so that groups compare.

For a piece known to be ready in (L, R], with S the estimate of 'not ready yet' over both groups
    Sun          (S(L) log S~(L) - S(R) log S~(R)) / (S(L) - S(R)),  S~ = exp(-sum of p_j / S_(j-1))
    Finkelstein  (S(L) log S(L) - S(R) log S(R)) / (S(L) - S(R))
    Wilcoxon     S(L) + S(R) - 1
R of a piece that is not ready yet is infinite and S(R) = 0. They are 'logrank1' (Sun 1996, Stat Med
15:1387), 'logrank2' (Finkelstein 1986, Biometrics 42:845) and 'wmw' of Fay & Shaw 2010, J Stat
Softw 36(2). On exact days the first is the log-rank test's 1 - cumulative hazard (Nelson-Aalen).
Over all pieces the scores sum to 0. Sun's and Finkelstein's weigh late days most: a group that is
slower but gets as far in the end is better seen by Wilcoxon's.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
import numpy.typing as npt
from scipy.special import xlogy

from api.healing.errors import RowsError, ShareError
from api.healing.incidence import CauseCurve, fit_incidence
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows, sums

Kind = Literal["sun", "finkelstein", "wilcoxon"]


def pooled(one: IntervalRows, two: IntervalRows) -> tuple[IntervalRows, BoolArray]:
    """Rows of both groups, and which of them are of the first. ShareError if a group is empty."""
    if not (one.left.size and two.left.size):
        raise ShareError("One side has no pieces, so there is no difference to give.")
    both = IntervalRows.joined(one, two)
    return both, np.arange(both.left.size) < one.left.size


def one_cause(rows: IntervalRows, cause: Cause, until: npt.ArrayLike | None = None) -> IntervalRows:
    """Rows READY or STILL for 'this `cause` has come', over all pieces cut. Pass both groups at
    once: without `until` the days come from all pieces of a cut.

    A lost piece is never ready. Were it censored when lost, the scores would credit it with the
    readiness of those that lived, and a method that kills the slow would look fast. So it is kept
    as 'not ready', beside its sisters, for as long as it would have been watched had it lived; in
    the same way a ready piece is never lost. That is the subdistribution's risk set with known
    censoring (Fine & Gray 1999, J Am Stat Assoc 94:496, 'censoring complete'). Keeping it for ever
    would be wrong where one group is younger: her lost would count as failures of weeks that her
    living have not had yet.

    `until` (rows,): days since the cut until which the piece would have been watched, best the day
    of the last round at its cut. Without it, the last day any piece of its cut was seen while one
    is still healing; of a cut in which all came to an end, the last day of all rows, since its
    watching ended with its pieces. RowsError where cause or `until` make no sense.
    """
    if cause not in (Cause.READY, Cause.LOST):
        raise RowsError("Only ready and lost can be compared; still healing is no event.")
    came = rows.cause == cause
    other = ~came & (rows.cause != Cause.STILL)
    last = _last_seen(rows) if until is None else _days(until, rows.left.size)
    alive = rows.left if cause == Cause.READY else rows.right
    bound = np.where(other, np.maximum(last, rows.right), alive)
    return IntervalRows.of(
        np.where(came, rows.left, bound), np.where(came, rows.right, bound),
        np.where(came, Cause.READY, Cause.STILL), rows.cluster, rows.weight,
    )  # fmt: skip


def scores(rows: IntervalRows, kind: Kind = "sun") -> FloatArray:
    """The score of each row of `one_cause` rows of both groups; (rows,), the same for each piece
    of a weighted row. RowsError for a row LOST or an unknown kind."""
    if (rows.cause == Cause.LOST).any():
        raise RowsError("A lost piece has no score of its own; turn the rows by one_cause first.")
    curve = fit_incidence(rows).ready
    before: FloatArray = np.maximum(1.0 - curve.bounds(rows.left)[0], 0.0)
    after: FloatArray = np.maximum(1.0 - curve.bounds(rows.right)[0], 0.0)
    after[rows.cause == Cause.STILL] = 0.0
    if kind == "wilcoxon":
        return before + after - 1.0
    if kind == "finkelstein":
        over: FloatArray = xlogy(before, before) - xlogy(after, after)
        return over / (before - after)
    if kind == "sun":
        hazard = _hazard(curve)
        at_left = hazard[np.searchsorted(curve.right, rows.left, side="right")]
        at_right = hazard[np.searchsorted(curve.right, rows.right, side="right")]
        return (after * at_right - before * at_left) / (before - after)
    raise RowsError(f"There are no scores called '{kind}'; use sun, finkelstein or wilcoxon.")


def _hazard(curve: CauseCurve) -> FloatArray:
    """Nelson-Aalen sums of p_j / S_(j-1), from 0 before the first interval; (intervals + 1,)."""
    alive = 1.0 - np.concatenate(([0.0], np.cumsum(curve.mass)))[:-1]
    return np.concatenate(([0.0], np.cumsum(curve.mass / alive)))


def _last_seen(rows: IntervalRows) -> IntArray:
    names, code = np.unique(rows.cluster, return_inverse=True)
    still = sums(code, rows.cause == Cause.STILL, names.size) > 0.0
    return np.where(still[code], rows.last_seen(), rows.right.max(initial=0))


def _days(until: npt.ArrayLike, size: int) -> IntArray:
    days = np.asarray(until)
    if days.shape != (size,) or days.dtype.kind not in "iu" or (days < 0).any():
        raise RowsError(
            "'until' needs, for each row, the whole day since its cut on which its cut was last "
            "looked at. Nothing was compared."
        )
    return days.astype(np.int64)
