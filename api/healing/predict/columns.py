"""Methods, cuts and traits as columns of numbers; equal rows put together."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from api.healing.errors import RowsError
from api.healing.rows import FloatArray, IntArray, IntervalRows, sums


@dataclass(frozen=True)
class Factor:
    """`names` (J,) in order, and each row's place among them, `code` (n,).

    `start` (J,) are the first rows of each; it has a meaning where rows are sorted by the factor.
    """

    names: IntArray
    code: IntArray
    start: IntArray

    @classmethod
    def of(cls, values: IntArray) -> Factor:
        """From one value a row."""
        names, start, code = np.unique(values, return_index=True, return_inverse=True)
        return cls(names, code.astype(np.int64), start.astype(np.int64))


@dataclass(frozen=True)
class Columns:
    """Traits about their mean, in units of their standard deviation. Shapes (kept,), of `width`."""

    kept: IntArray
    centre: FloatArray
    scale: FloatArray
    width: int

    @classmethod
    def of(cls, x: FloatArray, weight: IntArray) -> Columns:
        """From x (n, k); columns that never change are not kept."""
        total = float(weight.sum())
        centre = weight @ x / total
        scale = np.sqrt(weight @ (x - centre) ** 2 / total)
        changes = x.max(axis=0) > x.min(axis=0) if x.shape[0] else np.zeros(x.shape[1], np.bool_)
        kept = np.flatnonzero(changes & (scale > 1e-9 * (1.0 + np.abs(centre))))
        return cls(kept, centre[kept], scale[kept], x.shape[1])

    def design(self, x: FloatArray) -> FloatArray:
        """A column of ones and the kept columns, (n, 1 + kept)."""
        scaled = (x[:, self.kept] - self.centre) / self.scale
        return np.concatenate((np.ones((x.shape[0], 1)), scaled), axis=1)


def columns_of(
    rows: IntervalRows, group: npt.ArrayLike, x: npt.ArrayLike | None
) -> tuple[IntArray, FloatArray]:
    """(codes (n,), traits (n, k)) as numbers; RowsError says which is wrong."""
    return whole_column("group", group, rows.left.size), traits(x, rows.left.size)


def traits(x: npt.ArrayLike | None, size: int) -> FloatArray:
    """`x` as (size, k) of finite numbers, (size, 0) for None; RowsError otherwise."""
    if x is None:
        return np.zeros((size, 0))
    table = np.asarray(x)
    if table.ndim != 2 or table.shape[0] != size or table.dtype.kind not in "biuf":
        raise RowsError(
            f"The traits have shape {table.shape} and hold {table.dtype}; they must be a table of "
            f"numbers with one row for each of the {size} rows. Nothing was fitted."
        )
    real = table.astype(np.float64)
    bad = ~np.isfinite(real).all(axis=1)
    if bad.any():
        raise RowsError(
            f"Row {int(np.argmax(bad))}: a trait is missing or infinite ({int(bad.sum())} such "
            "rows). Nothing was fitted: give a value, or a column that says that it is unknown."
        )
    return real


def whole_column(name: str, values: npt.ArrayLike, size: int) -> IntArray:
    """`values` as (size,) whole numbers; RowsError otherwise."""
    array = np.asarray(values)
    if array.shape != (size,) or array.dtype.kind not in "biu":
        raise RowsError(
            f"'{name}' has shape {array.shape} and holds {array.dtype}; it must be one whole "
            f"number for each of the {size} rows. Nothing was computed."
        )
    return array.astype(np.int64)


def rows_by(
    order: IntArray, rows: IntervalRows, codes: IntArray, x: FloatArray
) -> tuple[IntervalRows, IntArray, FloatArray]:
    """All three in another order, or some of their rows."""
    return rows.select(order), codes[order], x[order]


def collapsed(
    rows: IntervalRows, codes: IntArray, x: FloatArray
) -> tuple[IntervalRows, IntArray, FloatArray]:
    """Rows that are equal in all but their weight put together, weights added."""
    keys = (*x.T, codes, rows.cluster, rows.cause, rows.right, rows.left)
    order = np.lexsort(keys)
    new = np.zeros(order.size, np.bool_)
    new[:1] = True
    for key in keys:
        new[1:] |= key[order][1:] != key[order][:-1]
    place = np.cumsum(new) - 1
    weight = sums(place, rows.weight[order], int(new.sum())).astype(np.int64)
    taken, codes, x = rows_by(order[new], rows, codes, x)
    return replace(taken, weight=weight), codes, x
