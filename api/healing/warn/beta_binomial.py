"""Counts of losses in units that differ: the beta-binomial distribution, and how much they differ.

A unit's own share lost is drawn from a beta distribution with mean m, then each of its n pieces is
lost with that share. With rho the correlation of two pieces of a unit,
    Var(y) = n m (1 - m) (1 + (n - 1) rho)
and rho = 0 is the binomial (Skellam 1948, JRSS B 10:257; Williams 1975, Biometrics 31:949).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.optimize import minimize
from scipy.special import betaln, gammaln, xlog1py, xlogy

from api.healing.errors import ShareError
from api.healing.proportions import ClusterCounts
from api.healing.rows import FloatArray

MOST_ALIKE = 0.95
"""Beyond this rho a unit is all or nothing, and the estimate runs off to 1."""
_LEAST_ALIKE = 1e-9


@dataclass(frozen=True)
class BetaBinomial:
    """How many of `pieces` are lost; ShareError unless 0 <= mean <= 1 and 0 <= rho < 1."""

    pieces: int
    mean: float
    rho: float

    def __post_init__(self) -> None:
        if not (self.pieces >= 0 and 0.0 <= self.mean <= 1.0 and 0.0 <= self.rho < 1.0):
            raise ShareError(
                f"No distribution has {self.pieces} pieces, mean {self.mean}, rho {self.rho}: "
                "the mean lies from 0 to 1, rho from 0 to below 1."
            )

    def pmf(self) -> FloatArray:
        """P(y = 0), ..., P(y = pieces), shape (pieces + 1,)."""
        [mass] = _pmf(self.pieces, np.array([self.mean]), np.array([self.rho]))
        return np.asarray(mass, np.float64)

    def mid_p(self) -> FloatArray:
        """P(Y > y) + P(Y = y) / 2 for y = 0, ..., pieces: how odd it is to lose y or more.

        Lancaster 1961, JASA 56:223. It never grows with y.
        """
        [odd] = mid_p(self.pieces, np.array([self.mean]), np.array([self.rho]))
        return np.asarray(odd, np.float64)

    def limit(self, tail: float) -> int | None:
        """The fewest losses whose mid-p is at most `tail`; None where not even all are so odd."""
        odd = self.mid_p() <= tail
        return int(np.argmax(odd)) if odd.any() else None


def mid_p(pieces: int, mean: FloatArray, rho: FloatArray) -> FloatArray:
    """`BetaBinomial.mid_p` of many units of so many pieces: mean and rho (units,), already checked;
    shape (units, pieces + 1)."""
    mass = _pmf(pieces, mean, rho)
    beyond = np.cumsum(mass[:, ::-1], axis=1)[:, ::-1] - mass / 2.0
    return np.asarray(np.clip(beyond, 0.0, 1.0), np.float64)


def moment_rho(counts: ClusterCounts, means: npt.ArrayLike | None = None) -> FloatArray:
    """Each unit's part in the moment estimate of rho: (excess, weight), shape (2, units).

    rho is sum excess / sum weight, with excess (y - n m)^2 - n m (1 - m) and weight
    n (n - 1) m (1 - m): equate the squares to Var(y) above (Kleinman 1973, JASA 68:46, with the
    weights of Moore 1986, from memory). `means`, (units,), are the shares expected of each unit;
    without them all have the overall share.
    """
    y, n = counts.events, counts.pieces
    m = np.full(n.size, y.sum() / max(n.sum(), 1.0)) if means is None else np.asarray(means)
    chance = n * m * (1.0 - m)
    return np.array([(y - n * m) ** 2 - chance, (n - 1.0) * chance])


def likeliest(counts: ClusterCounts) -> tuple[float, float, float]:
    """(mean, rho, log-likelihood) of greatest likelihood, rho from 0 to MOST_ALIKE.

    (share, 0, 0) where none or all are lost, since nothing varies. ShareError for no units.
    """
    y, n = counts.events, counts.pieces
    if not n.size:
        raise ShareError("There is no unit to learn from.")
    share = float(y.sum() / n.sum())
    if share in (0.0, 1.0):
        return share, 0.0, 0.0

    def missing(at: FloatArray) -> float:
        return -float(_log_pmf(y, n, at[0], at[1]).sum())

    limits = [(1e-6, 1.0 - 1e-6), (0.0, MOST_ALIKE)]
    # From several starts: with few units the likelihood may have a second, lower top.
    tries = [
        minimize(missing, [share, rho], bounds=limits, method="L-BFGS-B", tol=1e-14)
        for rho in (0.0, 0.05, 0.3)
    ]
    best = min(tries, key=lambda one: float(one.fun))
    return float(best.x[0]), float(best.x[1]), -float(best.fun)


def _pmf(pieces: int, mean: FloatArray, rho: FloatArray) -> FloatArray:
    """Shape (units, pieces + 1)."""
    y = np.arange(pieces + 1.0)
    return np.exp(_log_pmf(y, np.full(1, float(pieces)), mean[:, None], rho[:, None]))


def _log_pmf(
    y: FloatArray, n: FloatArray, mean: npt.ArrayLike, rho: npt.ArrayLike
) -> FloatArray:  # fmt: skip
    """Of `y` lost of `n`, all of shapes that go together."""
    m, r = np.asarray(mean, np.float64), np.asarray(rho, np.float64)
    choose = gammaln(n + 1.0) - gammaln(y + 1.0) - gammaln(n - y + 1.0)
    certain = (m <= 0.0) | (m >= 1.0) | (r < _LEAST_ALIKE)
    spread = 1.0 / np.where(certain, 0.5, r) - 1.0
    inside = np.where(certain, 0.5, m)
    a, b = inside * spread, (1.0 - inside) * spread
    mixed = betaln(y + a, n - y + b) - betaln(a, b)
    plain = xlogy(y, m) + xlog1py(n - y, -m)
    return np.asarray(choose + np.where(certain, plain, mixed), np.float64)
