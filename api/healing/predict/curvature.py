"""Minus the second derivatives of the weighted log-likelihood, put together from those of rows.

Unknowns are, in this order, the m effects of each of the three predictors and the two log shapes:
q = 3 m + 2. Of a row's five numbers two at a time touch; most pairs do so only in rows still
healing, and for those only these rows are gone through.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.rows import FloatArray, IntArray


@dataclass(frozen=True)
class Parts:
    """outer (q, q), cross (J, 3, q), blocks (J, 3, 3): an arrow (see `arrow`)."""

    outer: FloatArray
    cross: FloatArray
    blocks: FloatArray


def curvature(
    design: FloatArray, h: FloatArray, block: IntArray | None = None, blocks: int = 0
) -> Parts:
    """From design (n, m) and h (n, 5, 5), minus the rows' curvature times their weights.

    `block` (n,): each row's block in 0, ..., blocks - 1, ascending; None where there are none.
    """
    m = design.shape[1]
    outer = np.zeros((3 * m + 2, 3 * m + 2))
    cross = np.zeros((blocks, 3, 3 * m + 2))
    for a in range(3):
        for b in range(a, 3):
            index = _touching(h[:, a, b])
            each = h[index, a, b, None] * design[index]
            outer[a * m : (a + 1) * m, b * m : (b + 1) * m] = design[index].T @ each
            if block is not None:
                found = by_block(each, block[index], blocks)
                cross[:, a, b * m : (b + 1) * m] = found
                cross[:, b, a * m : (a + 1) * m] = found
        outer[a * m : (a + 1) * m, 3 * m :] = design.T @ h[:, a, 3:]
    outer[3 * m :, 3 * m :] = h[:, 3:, 3:].sum(axis=0)
    outer = np.triu(outer) + np.triu(outer, 1).T
    if block is None:
        return Parts(outer, cross, np.zeros((0, 3, 3)))
    cross[:, :, 3 * m :] = by_block(h[:, :3, 3:], block, blocks)
    return Parts(outer, cross, own_blocks(h, block, blocks))


def own_blocks(h: FloatArray, block: IntArray, blocks: int) -> FloatArray:
    """The blocks alone, (J, 3, 3)."""
    return by_block(h[:, :3, :3], block, blocks)


def by_block(values: FloatArray, block: IntArray, blocks: int) -> FloatArray:
    """Sums of `values` (n, ...) over rows of each block, (blocks, ...); `block` ascends."""
    out = np.zeros((blocks, *values.shape[1:]))
    edges = np.searchsorted(block, np.arange(blocks + 1))
    filled = edges[:-1] < edges[1:]
    if filled.any():
        out[filled] = np.add.reduceat(values, edges[:-1][filled], axis=0)
    return out


def _touching(values: FloatArray) -> IntArray | slice:
    """Which rows have any; all where leaving some out would not be worth copying the others."""
    index = np.flatnonzero(values)
    return index if 2 * index.size < values.size else slice(None)
