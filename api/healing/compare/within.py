"""Arms drawn within each mother: each cut's own difference, and the mean of them.

What makes one cut heal better than another works on both arms and cancels in
    d_c = mean of the first arm's pieces - mean of the second's,   w_c = n1 n2 / (n1 + n2)
    estimate sum w_c d_c / W,   variance sum (w_c / W)^2 (d_c - estimate)^2 / (1 - w_c / W)
with W the sum of the weights (Cochran 1954, Biometrics 10:417; the variance is HC2 of MacKinnon &
White 1985, J Econom 29:305, from memory; with equal weights it is s^2 / S, the paired t test's).
Where all d_c are equal the spread of the pieces within arms stands in. t has S - 1 degrees of
freedom. The draw's own test is not here: `permute` deals labels within each cut, on scores in which
pieces whose fate is open by a day count too.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import stdtrit

from api.healing.compare.scores import pooled
from api.healing.errors import ShareError, TooFewCutsError
from api.healing.proportions import difference
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows, sums

NOTHING = 1e-20
"""A variance that rounding alone can leave."""

Measure = Literal["days", "lost", "ready"]


@dataclass(frozen=True)
class Within:
    """First arm less second: days, or pieces per hundred.

    low, high  None where no spread was seen that could carry limits
    cuts       those with known pieces in both arms
    """

    estimate: float
    low: float | None
    high: float | None
    cuts: int


@dataclass(frozen=True)
class _Arm:
    """Of each used cut: how many pieces, their mean, and their sum of squares about it."""

    n: FloatArray
    mean: FloatArray
    square: FloatArray

    @property
    def own(self) -> FloatArray:
        """The variance of each mean that comes of pieces alone; 0 where no cut has two."""
        free = float((self.n - 1.0).sum())
        return (float(self.square.sum()) / free if free > 0.0 else 0.0) / self.n


def within(
    one: IntervalRows,
    two: IntervalRows,
    measure: Measure,
    day: int,
    *,
    level: float = 0.95,
) -> Within:
    """The paired difference over cuts watched to `day`; give only cuts at least so old.

    'days'   mean day of getting ready, the middle of what looks allow, among pieces that did; by a
             day before most have, the slow ones are missing and the difference is too small
    'lost'   share lost by the first look on `day` or after, which is the same for both arms
    'ready'  share ready by that look; a lost piece is never ready
    TooFewCutsError below two cuts known in both arms; ShareError for another measure, day or level.
    """
    _check(measure, day, level)
    rows, first = pooled(one, two)
    value = _values(rows, measure, day)
    use = _usable(rows, first, value, day)
    used, code = np.unique(rows.cluster[use], return_inverse=True)
    _enough(used.size, day)
    value, first, weight = value[use], first[use], rows.weight[use]
    arms = [_arm(value[a], weight[a], code[a], used.size) for a in (first, ~first)]
    scale = 1.0 if measure == "days" else 100.0
    return Within(*_estimate(arms[0], arms[1], level, scale), used.size)


def _usable(rows: IntervalRows, first: BoolArray, value: FloatArray, day: int) -> BoolArray:
    """Rows with a figure, of cuts watched to `day` that have figures in both arms."""
    names, code = np.unique(rows.cluster, return_inverse=True)
    still_open = sums(code, rows.cause == Cause.STILL, names.size) > 0.0
    # Cuts seen on `day` or later, or in which nothing is open (as `healing.loss` counts).
    watched = (rows.last_seen() >= day) | ~still_open[code]
    known = ~np.isnan(value) & watched
    ours, theirs = (sums(code, known & arm, names.size) for arm in (first, ~first))
    usable: BoolArray = known & ((ours > 0.0) & (theirs > 0.0))[code]
    return usable


def _values(rows: IntervalRows, measure: Measure, day: int) -> FloatArray:
    """Each row's figure; not a number where it has none."""
    ready, lost = rows.cause == Cause.READY, rows.cause == Cause.LOST
    if measure == "days":
        return np.where(ready, (rows.left + 1 + rows.right) / 2.0, np.nan)
    came, other = (ready, lost) if measure == "ready" else (lost, ready)
    alive = rows.left if measure == "ready" else rows.right
    known = came | other | (alive >= day)
    return np.where(known, (came & (rows.left < day)).astype(np.float64), np.nan)


def _arm(value: FloatArray, weight: IntArray, code: IntArray, cuts: int) -> _Arm:
    n = sums(code, weight, cuts)
    mean = sums(code, weight * value, cuts) / n
    return _Arm(n, mean, sums(code, weight * (value - mean[code]) ** 2, cuts))


def _estimate(
    one: _Arm, two: _Arm, level: float, scale: float
) -> tuple[float, float | None, float | None]:
    """(estimate, low, high); shares, which `scale` brings to a hundred, lie within -1 and 1."""
    each = one.mean - two.mean
    part = one.n * two.n / (one.n + two.n)
    part = part / part.sum()
    middle = float(part @ each)
    between = float((part**2 * (each - middle) ** 2 / (1.0 - part)).sum())
    variance = between if between > NOTHING else float(part**2 @ (one.own + two.own))
    if variance <= NOTHING:
        if scale == 1.0:
            return middle, None, None
        return scale * middle, *_of_counts(one, two, level, scale)
    reach = float(stdtrit(each.size - 1, 0.5 + level / 2.0)) * variance**0.5
    if scale == 1.0:
        return middle, middle - reach, middle + reach
    return scale * middle, scale * max(middle - reach, -1.0), scale * min(middle + reach, 1.0)


def _of_counts(one: _Arm, two: _Arm, level: float, scale: float) -> tuple[float, float]:
    """No cut differs from another: what remains is how few pieces there are (Newcombe 1998)."""
    events = round(float(one.n @ one.mean)), round(float(two.n @ two.mean))
    low, high = difference(events, (float(one.n.sum()), float(two.n.sum())), level)
    return scale * low, scale * high


def _check(measure: str, day: int, level: float) -> None:
    if measure not in ("days", "lost", "ready") or day < 1 or not 0.0 < level < 1.0:
        raise ShareError(
            f"Cannot compare '{measure}' by day {day} at level {level}: use days, lost or ready, a "
            "day from 1 on, and a level between 0 and 1."
        )


def _enough(cuts: int, day: int) -> None:
    if cuts < 2:
        raise TooFewCutsError(
            f"{cuts} cut(s) have pieces in both arms whose fate is known by day {day}; a paired "
            "comparison takes two at least."
        )
