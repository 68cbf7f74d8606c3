"""The input of the healing arithmetic: one row a piece, or a weighted row for equal pieces."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from api.healing.errors import RowsError

IntArray = npt.NDArray[np.int64]
FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]

# A hundred years: anything beyond is a wrong date, and memory grows with the last day.
MAX_DAY = 36_525


class Cause(IntEnum):
    """What ended the watching of a piece."""

    READY = 0
    LOST = 1
    STILL = 2


@dataclass(frozen=True)
class IntervalRows:
    """Interval-censored days since the cut with two ways to end; build it with `of`.

    All arrays have shape (rows,) and hold whole days since the cut, half-open intervals:
    - READY and LOST: the event lies in (left, right], that is on one of the days
      left + 1, ..., right. An event on a known day d is (d - 1, d].
    - STILL (still healing, or withdrawn): `left` is the last day somebody looked at the piece
      itself and did not call it ready, `right` the last day it was seen alive, right >= left.
      The row contributes 1 - F_ready(left) - F_lost(right).
    `cluster` numbers the cut a row belongs to, `weight` counts the pieces it stands for.
    """

    left: IntArray
    right: IntArray
    cause: IntArray
    cluster: IntArray
    weight: IntArray

    @classmethod
    def of(
        cls,
        left: npt.ArrayLike,
        right: npt.ArrayLike,
        cause: npt.ArrayLike,
        cluster: npt.ArrayLike | None = None,
        weight: npt.ArrayLike | None = None,
    ) -> IntervalRows:
        """Checked rows. Without `cluster` every row is of cut 0, without `weight` it is one piece.

        Raises RowsError, naming the first bad row, for values that are not finite whole numbers,
        days outside 0 to MAX_DAY, an empty interval, an unknown cause, or a weight below 1.
        """
        size = np.size(left)
        columns = {
            "left": _whole("left", left, size),
            "right": _whole("right", right, size),
            "cause": _whole("cause", cause, size),
            "cluster": _whole("cluster", np.zeros(size) if cluster is None else cluster, size),
            "weight": _whole("weight", np.ones(size) if weight is None else weight, size),
        }
        rows = cls(**columns)
        _check(rows)
        return rows

    @property
    def pieces(self) -> int:
        """How many pieces all rows stand for."""
        return int(self.weight.sum())

    @property
    def cuts(self) -> int:
        """How many different cuts the rows come from."""
        return int(np.unique(self.cluster).size)

    @classmethod
    def joined(cls, *parts: IntervalRows) -> IntervalRows:
        """All rows of one or more parts, which number their cuts alike, in that order."""
        return cls(*(
            np.concatenate([getattr(part, column.name) for part in parts])
            for column in fields(cls)
        ))  # fmt: skip

    def last_seen(self) -> IntArray:
        """The last day on which any piece of each row's cut was seen, (rows,)."""
        names, code = np.unique(self.cluster, return_inverse=True)
        last = np.zeros(names.size, np.int64)
        np.maximum.at(last, code, self.right)
        return last[code]

    def select(self, keep: BoolArray | IntArray) -> IntervalRows:
        """The rows where `keep`, shape (rows,), is true; or those in the places `keep`, in that
        order."""
        return IntervalRows(
            self.left[keep], self.right[keep], self.cause[keep],
            self.cluster[keep], self.weight[keep],
        )  # fmt: skip


def distinct(codes: IntArray) -> int:
    """How many different numbers there are among small ones that are not negative."""
    return int(np.count_nonzero(np.bincount(codes)))


def sums(index: IntArray, values: npt.ArrayLike, size: int) -> FloatArray:
    """Sum of `values` (k,) by `index` (k,) in 0, ..., size - 1; shape (size,)."""
    return np.bincount(index, values, size).astype(np.float64, copy=False)


def _whole(name: str, values: npt.ArrayLike, size: int) -> IntArray:
    array = np.asarray(values)
    if array.ndim != 1 or array.size != size:
        raise RowsError(
            f"'{name}' has shape {array.shape}, but every column needs one value for each of the "
            f"{size} rows. Nothing was fitted: pass columns of equal length."
        )
    if array.dtype.kind in "iu":
        return array.astype(np.int64, copy=False)
    if array.size and array.dtype.kind not in "fb":
        raise RowsError(f"'{name}' holds {array.dtype}, not whole numbers. Nothing was fitted.")
    real = array.astype(np.float64)
    _refuse(~np.isfinite(real), f"'{name}' is missing or infinite", "give the day, or drop the row")
    _refuse(real != np.rint(real), f"'{name}' is not a whole number", "count whole days and pieces")
    return real.astype(np.int64)


def _check(rows: IntervalRows) -> None:
    event = rows.cause != Cause.STILL
    late = np.maximum(rows.left, rows.right) > MAX_DAY
    _refuse((rows.cause < 0) | (rows.cause > 2), "unknown cause", "use 0 ready, 1 lost, 2 still")
    _refuse((rows.left < 0) | (rows.right < 0), "a day before the cut", "count days from the cut")
    _refuse(late, f"a day beyond {MAX_DAY}", "look for a wrong date")
    _refuse(
        event & (rows.left >= rows.right),
        "the last look before the event is not before it",
        "an event on day d is (d - 1, d]",
    )
    _refuse(
        ~event & (rows.right < rows.left),
        "last seen alive before the last full look",
        "a full look also sees the piece alive, so right must be at least left",
    )
    _refuse(rows.weight < 1, "weight below 1", "a row stands for at least one piece")


def _refuse(bad: BoolArray, what: str, remedy: str) -> None:
    if bad.any():
        first, count = int(np.argmax(bad)), int(np.count_nonzero(bad))
        raise RowsError(f"Row {first}: {what} ({count} such rows). Nothing was fitted: {remedy}.")
