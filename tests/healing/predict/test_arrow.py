"""Block algebra against the same matrix written out."""

import numpy as np
import pytest

from api.healing.predict.arrow import Arrow

RANDOM = np.random.default_rng(1)
Q, J = 4, 5
FULL = np.zeros((Q + 3 * J, Q + 3 * J))
ROOT = RANDOM.normal(size=(Q, 3 * J))
FULL[:Q, Q:], FULL[Q:, :Q] = ROOT, ROOT.T
for j in range(J):
    here = slice(Q + 3 * j, Q + 3 * j + 3)
    part = RANDOM.normal(size=(3, 3))
    FULL[here, here] = part @ part.T + 8.0 * np.eye(3)
FULL[:Q, :Q] = ROOT @ ROOT.T + np.eye(Q)
ARROW = Arrow.of(
    FULL[:Q, :Q], FULL[Q:, :Q].reshape(J, 3, Q),
    np.stack([FULL[Q + 3 * j : Q + 3 * j + 3, Q + 3 * j : Q + 3 * j + 3] for j in range(J)]),
)  # fmt: skip


def test_solving_equals_the_dense_solution():
    right = RANDOM.normal(size=Q + 3 * J)
    outer, blocks = ARROW.solve(right[:Q], right[Q:].reshape(J, 3))
    assert np.concatenate((outer, blocks.ravel())) == pytest.approx(np.linalg.solve(FULL, right))


def test_variances_and_draws_have_the_inverse_as_covariance():
    inverse = np.linalg.inv(FULL)
    outer, blocks = ARROW.variances()
    assert np.concatenate((outer, blocks.ravel())) == pytest.approx(np.diag(inverse))
    drawn = ARROW.draws(np.random.default_rng(2), 40_000)
    both = np.concatenate((drawn[0], drawn[1].reshape(40_000, -1)), axis=1)
    assert both.mean(axis=0) == pytest.approx(np.zeros(Q + 3 * J), abs=1e-12)
    assert np.abs(np.cov(both.T) - inverse).max() < 0.03 * np.diag(inverse).max()


def test_what_is_not_positive_definite_is_refused():
    with pytest.raises(np.linalg.LinAlgError):
        Arrow.of(-np.eye(Q), np.zeros((1, 3, Q)), np.eye(3)[None])
