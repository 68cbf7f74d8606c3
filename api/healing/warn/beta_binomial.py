"""Counts of losses in units that differ: the beta-binomial distribution.

A unit's own share lost is drawn from a beta distribution with mean m, then each of its n pieces is
lost with that share. With rho the correlation of two pieces of a unit,
    Var(y) = n m (1 - m) (1 + (n - 1) rho)
and rho = 0 is the binomial (Skellam 1948, JRSS B 10:257; Williams 1975, Biometrics 31:949).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from scipy.special import betaln, gammaln, xlog1py, xlogy

from api.healing.errors import ShareError
from api.healing.rows import FloatArray

MOST_ALIKE = 0.95
"""Beyond this rho a unit is all or nothing, and the estimate runs off to 1."""
_LEAST_ALIKE = 1e-9


def mid_p(pieces: int, mean: FloatArray, rho: FloatArray) -> FloatArray:
    """P(Y > y) + P(Y = y) / 2 for y = 0, ..., pieces: how odd it is to lose y or more of so many.

    mean and rho (units,); shape (units, pieces + 1). Lancaster 1961, JASA 56:223. It never grows
    with y. ShareError unless 0 <= mean <= 1, 0 <= rho < 1 and there are 0 pieces or more.
    """
    bad = ~((mean >= 0.0) & (mean <= 1.0) & (rho >= 0.0) & (rho < 1.0))
    if pieces < 0 or bad.any():
        raise ShareError(
            f"No distribution has {pieces} pieces and a mean and rho of {mean[bad].tolist()} and "
            f"{rho[bad].tolist()}: the mean lies from 0 to 1, rho from 0 to below 1."
        )
    mass = _pmf(pieces, mean, rho)
    beyond = np.cumsum(mass[:, ::-1], axis=1)[:, ::-1] - mass / 2.0
    return np.asarray(np.clip(beyond, 0.0, 1.0), np.float64)


def _pmf(pieces: int, mean: FloatArray, rho: FloatArray) -> FloatArray:
    """Shape (units, pieces + 1)."""
    y = np.arange(pieces + 1.0)
    return np.exp(log_pmf(y, np.full(1, float(pieces)), mean[:, None], rho[:, None]))


def log_pmf(
    y: FloatArray, n: FloatArray, mean: npt.ArrayLike, rho: npt.ArrayLike
) -> FloatArray:  # fmt: skip
    """Log of the chance to lose `y` of `n`, all of shapes that go together and already checked."""
    m, r = np.asarray(mean, np.float64), np.asarray(rho, np.float64)
    choose = gammaln(n + 1.0) - gammaln(y + 1.0) - gammaln(n - y + 1.0)
    certain = (m <= 0.0) | (m >= 1.0) | (r < _LEAST_ALIKE)
    spread = 1.0 / np.where(certain, 0.5, r) - 1.0
    inside = np.where(certain, 0.5, m)
    a, b = inside * spread, (1.0 - inside) * spread
    mixed = betaln(y + a, n - y + b) - betaln(a, b)
    plain = xlogy(y, m) + xlog1py(n - y, -m)
    return np.asarray(choose + np.where(certain, plain, mixed), np.float64)
