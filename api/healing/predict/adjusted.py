"""Two groups compared as if they had had the same mix of everything else.

One mixture (see `mixture`) is fitted to the pieces of both, with the group as a trait beside the
others; each piece's curve is then computed twice, as if of the first group and as if of the second,
and averaged over all pieces of both (g-computation or standardisation: Robins 1986, Math Modelling
7:1393; Snowden, Rose & Mortimer 2011, Am J Epidemiol 173:731; from memory). Cuts have no effects of
their own here, so that the curves are those of all cuts together; that pieces of a cut are alike
is in the standard error, from cuts left out one at a time (see `without`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt
from scipy.special import stdtrit

from api.healing.errors import NotSettledError, RowsError, ShareError, TooFewCutsError
from api.healing.predict.climb import Point, Problem, climb
from api.healing.predict.columns import Columns, collapsed, columns_of, rows_by
from api.healing.predict.errors import NotSeparatedError
from api.healing.predict.mixture import Bounds
from api.healing.predict.pooled import LEVEL, SHAPE_SD, SLOPE, prior_mean
from api.healing.predict.standard import figures
from api.healing.predict.without import jackknife_error, left_out
from api.healing.proportions import difference
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows

GROUP_SD = np.array([2.5, 1.5, 1.5])
"""Prior of the difference between the groups on the three predictors: wide, it is not pulled in."""
MOST_OUTSIDE = 0.1
"""Share of pieces that may have a trait outside what the other group has, before it is refused."""
SETTLED = 1e-7


@dataclass(frozen=True)
class Difference:
    """Second group minus first, with limits; `first` and `second` are what is compared."""

    first: float
    second: float
    difference: float
    low: float
    high: float


@dataclass(frozen=True)
class Adjusted:
    """Shares ready and lost by `day`, and the day by which half are ready (None where the curve of
    either group does not reach half, with or without some cut). `adjusted_for` are the traits that
    differ between pieces, by name."""

    day: int
    ready: Difference
    lost: Difference
    half: Difference | None
    adjusted_for: tuple[str, ...]
    cuts: int


def adjusted_difference(
    rows: IntervalRows, group: npt.ArrayLike, x: npt.ArrayLike | None, names: Sequence[str],
    first: int, second: int, day: int, level: float = 0.95,
) -> Adjusted:  # fmt: skip
    """`second` minus `first`, two codes in `group` (rows,), adjusted for x (rows, k) named `names`.

    The t quantile has two degrees of freedom less than there are cuts. RowsError for shapes or a
    group without pieces, ShareError for the level or the day, TooFewCutsError below two cuts in
    either group, NotSettledError without any ready piece, NotSeparatedError where a trait and the
    group cannot be told apart.
    """
    codes, traits = columns_of(rows, group, x)
    _check(traits, names, first, second, day, level)
    both = np.flatnonzero((codes == first) | (codes == second))
    rows, codes, traits = collapsed(*rows_by(both, rows, codes, traits))
    second_one = codes == second
    _enough(rows, second_one)
    columns = Columns.of(traits, rows.weight)
    _separable(columns, traits, names, second_one, rows.weight)
    problem = _problem(rows, columns.design(traits), second_one.astype(np.float64))
    start = Point(problem.mean.outer, problem.mean.shape, np.zeros((0, 3)))
    top = climb(problem, start, SETTLED)
    best = figures(problem.design, problem.weight, top.at, day)
    cut = np.unique(rows.cluster, return_inverse=True)[1]
    without = left_out(problem, top, cut, day)
    reach = float(stdtrit(max(rows.cuts - 2, 1), 0.5 + level / 2.0))
    error = reach * jackknife_error(without)
    pieces = [int(rows.weight[side].sum()) for side in (~second_one, second_one)]
    ready, lost = (_share(best[k], float(error[k]), pieces, level) for k in (0, 1))
    # The day of half is known no better than the share ready is.
    wider = (ready.high - ready.low) / (2.0 * float(error[0])) if error[0] > 0.0 else 1.0
    half = _difference(best[2], float(error[2]) * max(1.0, wider))
    known = bool(min(best[3].min(), without[:, 3].min()) > 0.5)
    adjusted_for = tuple(names[k] for k in columns.kept)
    return Adjusted(day, ready, lost, half if known else None, adjusted_for, rows.cuts)


def _problem(rows: IntervalRows, design: FloatArray, second: FloatArray) -> Problem:
    """The group is a trait beside the others (column GROUP), with a prior of its own."""
    # Halves to either side: neither group is nearer to the priors than the other.
    table = np.concatenate((design[:, :1], second[:, None] - 0.5, design[:, 1:]), axis=1)
    sd = np.concatenate((LEVEL[None], GROUP_SD[None], np.tile(SLOPE, (design.shape[1] - 1, 1))))
    none = np.zeros(0, np.int64)
    precision = Point(sd**-2.0, np.full(2, SHAPE_SD**-2.0), np.ones((1, 3)))
    mean = prior_mean(rows, table.shape[1])
    weight = rows.weight.astype(np.float64)
    return Problem(Bounds.of(rows), weight, table, none, none, mean, precision)


def _difference(pair: FloatArray, error: float) -> Difference:
    first, second = float(pair[0]), float(pair[1])
    return Difference(first, second, second - first, second - first - error,
                      second - first + error)  # fmt: skip


def _share(pair: FloatArray, error: float, pieces: Sequence[int], level: float) -> Difference:
    """Of two shares, never surer than counts of so many single pieces are (Newcombe 1998): cuts
    that went alike by chance do not show how cuts differ."""
    found = _difference(pair, error)
    events = [share * n for share, n in zip((found.second, found.first), pieces[::-1], strict=True)]
    least = difference((events[0], events[1]), (pieces[1], pieces[0]), level)
    low, high = min(found.low, least.low), max(found.high, least.high)
    return replace(found, low=max(low, -1.0), high=min(high, 1.0))


def _check(
    x: FloatArray, names: Sequence[str], first: int, second: int, day: int, level: float
) -> None:
    if len(names) != x.shape[1]:
        raise RowsError(f"There are {x.shape[1]} traits and {len(names)} names for them.")
    if first == second:
        raise RowsError(f"Group {first} cannot be compared with itself.")
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    if day < 1:
        raise ShareError(f"Shares are compared on day 1 or later, not on day {day}.")


def _enough(rows: IntervalRows, second: npt.NDArray[np.bool_]) -> None:
    for name, inside in (("first", ~second), ("second", second)):
        if not inside.any():
            raise RowsError(f"The {name} group has no pieces.")
        cuts = int(np.unique(rows.cluster[inside]).size)
        if cuts < 2:
            raise TooFewCutsError(
                f"The {name} group has pieces of one cut only; the method and the cut cannot be "
                "told apart."
            )
    if not (rows.cause == Cause.READY).any():
        raise NotSettledError("No piece of these groups was seen ready; nothing is compared.")


def _separable(
    columns: Columns, x: FloatArray, names: Sequence[str], second: npt.NDArray[np.bool_],
    weight: IntArray,
) -> None:  # fmt: skip
    """Overlap first, since it names the trait; then whether the traits together tell the group."""
    for k in columns.kept:
        low = max(x[~second, k].min(), x[second, k].min())
        high = min(x[~second, k].max(), x[second, k].max())
        outside = weight[(x[:, k] < low) | (x[:, k] > high)].sum() / weight.sum()
        if outside > MOST_OUTSIDE:
            raise NotSeparatedError(
                f"The groups cannot be separated from '{names[k]}': of {100 * outside:.0f} % of "
                "the pieces the other group has none alike in it. Nothing is compared."
            )
    table = np.concatenate((columns.design(x), second[:, None].astype(np.float64)), axis=1)
    without = np.linalg.matrix_rank(table[:, :-1])
    if np.linalg.matrix_rank(table) == without:
        told = ", ".join(f"'{names[k]}'" for k in columns.kept)
        raise NotSeparatedError(
            f"The groups cannot be separated from {told} taken together. Nothing is compared."
        )
