"""Linear algebra of effects that come in blocks: cuts or methods that only meet in what is common.

The curvature of a model in which each piece belongs to one block has the shape of an arrow,
    [ outer  cross' ]
    [ cross  blocks ]     blocks (J, 3, 3) on the diagonal,
and eliminating the blocks first (the Schur complement) makes the cost linear in their number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular

from api.healing.rows import FloatArray


@dataclass(frozen=True)
class Arrow:
    """A factored positive definite arrow: q outer unknowns, J blocks of 3.

    low      (q, q) Cholesky factor of the outer unknowns' Schur complement
    own      (J, 3, 3) Cholesky factors L of the blocks
    shared   (J, 3, q) L^-1 cross
    """

    low: FloatArray
    own: FloatArray
    shared: FloatArray

    @classmethod
    def of(cls, outer: FloatArray, cross: FloatArray, blocks: FloatArray) -> Arrow:
        """The factors; numpy's LinAlgError where the arrow is not positive definite."""
        own = np.asarray(np.linalg.cholesky(blocks), np.float64)
        shared = np.asarray(np.linalg.solve(own, cross), np.float64)
        flat = shared.reshape(-1, outer.shape[0])
        low = np.asarray(np.linalg.cholesky(outer - flat.T @ flat), np.float64)
        return cls(low, own, shared)

    def solve(self, outer: FloatArray, blocks: FloatArray) -> tuple[FloatArray, FloatArray]:
        """The unknowns (q,), (J, 3) for a right-hand side of the same shapes."""
        y = np.asarray(np.linalg.solve(self.own, blocks[:, :, None])[:, :, 0], np.float64)
        right = outer - np.einsum("jaq,ja->q", self.shared, y)
        half = solve_triangular(self.low, right, lower=True, check_finite=False)
        x = solve_triangular(self.low, half, lower=True, trans=1, check_finite=False)
        return x, self._back(y - self.shared @ x)

    def variances(self) -> tuple[FloatArray, FloatArray]:
        """Diagonal of the inverse: (q,) and (J, 3)."""
        inverse = solve_triangular(self.low, np.eye(self.low.shape[0]), lower=True)
        outer = (inverse**2).sum(axis=0)
        back = np.linalg.inv(self.own)
        lean = np.swapaxes(back, 1, 2) @ self.shared
        through = (lean.reshape(-1, self.low.shape[0]) @ inverse.T).reshape(lean.shape)
        return outer, (back**2).sum(axis=1) + (through**2).sum(axis=2)

    def draws(self, random: np.random.Generator, count: int) -> tuple[FloatArray, FloatArray]:
        """`count` draws, normal with the inverse as covariance: (count, q), (count, J, 3).

        `count` is even; the second half mirrors the first, so that means are exact.
        """
        half = count // 2
        z = random.standard_normal((self.low.shape[0], half))
        x = solve_triangular(self.low, z, lower=True, trans=1, check_finite=False).T
        y = random.standard_normal((half, *self.own.shape[:2]))
        y = y - np.einsum("jaq,cq->cja", self.shared, x)
        blocks = np.einsum("jba,cjb->cja", np.linalg.inv(self.own), y)
        return np.concatenate((x, -x)), np.concatenate((blocks, -blocks))

    def _back(self, y: FloatArray) -> FloatArray:
        upper = np.swapaxes(self.own, 1, 2)
        return np.asarray(np.linalg.solve(upper, y[:, :, None])[:, :, 0], np.float64)
