"""Least squares with non-negative unknowns, by exchanging whole blocks of them."""

from __future__ import annotations

import numpy as np
from scipy.linalg import cho_factor, cho_solve

from api.healing.rows import BoolArray, FloatArray

# Full exchanges that may fail to shorten the list of offenders before one is moved at a time.
PATIENCE = 3


def nonnegative_minimum(
    matrix: FloatArray, linear: FloatArray, free: BoolArray, limit: int = 500
) -> FloatArray:
    """The x >= 0 that minimises x'Ax/2 - b'x; A (k, k) positive definite, b and x (k,).

    Block principal pivoting (Portugal, Judice & Vicente 1994, Math Comp 63:625; Kim & Park 2011,
    SIAM J Sci Comput 33:3261): solve on the free unknowns, then swap every unknown that is on the
    wrong side, falling back on the last one only (Murty's rule, which is finite) when the count of
    offenders stops shrinking. `free`, (k,), guesses which x are positive. After `limit` exchanges
    the clipped answer is returned; the caller's line search makes any such answer safe.
    """
    free = free.copy()
    fewest, patience = linear.size + 1, PATIENCE
    slack = 1e-12 * max(1.0, float(np.abs(linear).max(initial=0.0)))
    x = np.zeros_like(linear)
    for _ in range(limit):
        x = _solve_free(matrix, linear, free)
        dual = matrix @ x - linear
        wrong = np.where(free, x < 0.0, dual < -slack)
        count = int(np.count_nonzero(wrong))
        if count == 0:
            break
        if count < fewest:
            fewest, patience = count, PATIENCE
        elif patience > 0:
            patience -= 1
        else:
            wrong[: int(np.flatnonzero(wrong)[-1])] = False
        free ^= wrong
    return np.maximum(x, 0.0)


def _solve_free(matrix: FloatArray, linear: FloatArray, free: BoolArray) -> FloatArray:
    x = np.zeros_like(linear)
    index = np.flatnonzero(free)
    if index.size:
        factor = cho_factor(matrix[np.ix_(index, index)], check_finite=False)
        x[index] = cho_solve(factor, linear[index], check_finite=False)
    return x
