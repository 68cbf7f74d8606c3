"""The difference of the shares lost by a fixed day, from counts of each cut."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.stats import barnard_exact, fisher_exact

from api.healing.errors import ShareError
from api.healing.proportions import ClusterCounts, difference, pooled_design_effect

EXACT_UP_TO = 200
"""Pieces of both sides; Barnard's test takes a second beyond, and the limits say the same."""


@dataclass(frozen=True)
class CountContrast:
    """First group less second, in pieces per hundred, with limits.

    `fisher` and `barnard` are two-sided p-values; None unless each piece is its own cut and there
    are few of them.
    """

    difference: float
    low: float
    high: float
    deff: float
    fisher: float | None
    barnard: float | None


def count_contrast(
    one: ClusterCounts, two: ClusterCounts, level: float = 0.95, deff: float | None = None
) -> CountContrast:
    """Newcombe's method 10 on pieces / deff (1998, Stat Med 17:873; Rao & Scott 1992).

    `deff` pooled over more methods may be given; else it is pooled over the two. Where each piece
    is its own cut it is 1 and the exact tests of Fisher 1935 and Barnard 1947 (Biometrika 34:123,
    pooled score statistic) join in. Groups that share cuts are `within`'s. ShareError for a side
    without pieces, TooFewCutsError where no side has two cuts and no `deff` is given.
    """
    if min(one.pieces.size, two.pieces.size) == 0:
        raise ShareError("One side has no pieces, so there is no difference to give.")
    alone = bool((one.pieces == 1.0).all() and (two.pieces == 1.0).all())
    ratio = deff if deff is not None else 1.0 if alone else pooled_design_effect([one, two])
    x, n = _totals(one), _totals(two)
    found = difference((x[0], n[0]), (x[1], n[1]), level, ratio)
    exact = _exact(x, n) if alone and x[1] + n[1] <= EXACT_UP_TO else (None, None)
    shift = 100.0 * (x[0] / x[1] - n[0] / n[1])
    return CountContrast(shift, 100.0 * found.low, 100.0 * found.high, ratio, *exact)


def exact_tests(table: tuple[tuple[int, int], tuple[int, int]]) -> tuple[float, float]:
    """(Fisher, Barnard) two-sided of [[events one, events two], [others one, others two]].

    Columns are the groups. Both 1 where nothing, or everything, has the event, or a column is
    empty: such a table says nothing.
    """
    counts = np.asarray(table)
    if (counts < 0).any():
        raise ShareError("A count below 0 is no count; check the table.")
    if (counts.sum(axis=0) == 0).any() or (counts.sum(axis=1) == 0).any():
        return 1.0, 1.0
    fisher = float(fisher_exact(counts).pvalue)
    return min(fisher, 1.0), min(float(barnard_exact(counts).pvalue), 1.0)


def _exact(one: tuple[float, float], two: tuple[float, float]) -> tuple[float, float]:
    (x, n), (y, m) = one, two
    return exact_tests(((int(x), int(y)), (int(n - x), int(m - y))))


def _totals(counts: ClusterCounts) -> tuple[float, float]:
    return float(counts.events.sum()), float(counts.pieces.sum())
