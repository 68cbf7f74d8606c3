"""Both causes on one line, and the only places on it where the estimate can put mass.

Folding. Let M be the last day + 1. Ready on day t stands at t, lost on day t at 2M - t, and M
itself stands for 'later than anything watched'. Then
    ready in (L, R]                        is  (L, R]
    lost in (L, R]                         is  (2M - R - 1, 2M - L - 1]
    still: ready after a, or lost after b  is  (a, 2M - b - 1]
so every row, also one with two bounds, is one stretch of one line, and the joint estimate of two
sub-distributions is the estimate of one distribution from intervals. The mass can only sit on the
maximal intersections of those stretches (Turnbull 1976, JRSS B 38:290; for competing risks
Hudgens, Satten & Longini 2001, Biometrics 57:74).

The masses are unique. Number the gaps between columns 0, ..., J; a row that covers columns
lo, ..., hi - 1 is the difference of the summed mass at gaps hi and lo. Each column ends where some
row ends, so every gap is tied by a row to an earlier one and all of them to gap 0: the table of
rows by columns has rank J, and the log-likelihood is strictly concave in the masses.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows, sums


@dataclass(frozen=True)
class Grid:
    """Rows that differ, as runs of columns; a column is one maximal intersection.

    `lo`, `hi`, `weight`: shape (unique rows,); the row covers columns lo, ..., hi - 1.
    `start`, `end`: shape (columns,); the column is (start, end] on the folded line.
    `member`: shape (rows,); which unique row each input row became. `fold` is M.
    """

    lo: IntArray
    hi: IntArray
    weight: FloatArray
    start: IntArray
    end: IntArray
    member: IntArray
    fold: int

    @property
    def columns(self) -> int:
        return int(self.start.size)

    @property
    def is_ready(self) -> BoolArray:
        return self.end < self.fold

    @property
    def is_lost(self) -> BoolArray:
        return self.start >= self.fold

    @property
    def is_tail(self) -> BoolArray:
        """The column, if there is one, for 'after all that was watched, of either cause'."""
        return ~(self.is_ready | self.is_lost)


def grid_of(rows: IntervalRows) -> Grid:
    """Collapse equal rows and lay them over their maximal intersections. O(n log n)."""
    start, end, fold = _folded(rows)
    width = 2 * fold
    keys, member = np.unique(start * width + end, return_inverse=True)
    weight = sums(member, rows.weight, keys.size)
    start, end = keys // width, keys % width
    left, right = maximal(_marks(start, width), _marks(end, width))
    if not keys.size:
        left, right = np.zeros(1, np.int64), np.ones(1, np.int64)
    lo, hi = covered(start, end, left, right)
    return Grid(lo, hi, weight, left, right, member, fold)


def maximal(starts: BoolArray, ends: BoolArray) -> tuple[IntArray, IntArray]:
    """Maximal intersections (q, r] of half-open intervals, from the marks of their ends.

    `starts[x]`, `ends[x]`: some interval starts, ends, at x. An interval that ends where another
    starts does not meet it, so (q, r] is an intersection just where a start at q is followed by
    an end at r with no mark between. O(length of the marks).
    """
    marked = np.flatnonzero(starts | ends)
    left, right = marked[:-1], marked[1:]
    keep = starts[left] & ends[right]
    return left[keep], right[keep]


def covered(
    start: IntArray, end: IntArray, left: IntArray, right: IntArray
) -> tuple[IntArray, IntArray]:
    """For each interval (start, end] the run [lo, hi) of the sorted (left, right] inside it."""
    lo = np.searchsorted(left, start, side="left").astype(np.int64)
    hi = np.searchsorted(right, end, side="right").astype(np.int64)
    return lo, hi


def _folded(rows: IntervalRows) -> tuple[IntArray, IntArray, int]:
    last = max(int(rows.left.max(initial=0)), int(rows.right.max(initial=0)))
    fold = last + 1
    lost, still = rows.cause == Cause.LOST, rows.cause == Cause.STILL
    start = np.where(lost, 2 * fold - rows.right - 1, rows.left)
    end = np.where(lost, 2 * fold - rows.left - 1, rows.right)
    end = np.where(still, 2 * fold - rows.right - 1, end)
    return start, end, fold


def _marks(positions: IntArray, size: int) -> BoolArray:
    marks = np.zeros(size, dtype=np.bool_)
    marks[positions] = True
    return marks
