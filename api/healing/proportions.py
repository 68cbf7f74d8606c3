"""Shares of pieces with honest intervals, when pieces come in cuts that go well or badly together.

Intervals of single proportions and of differences: Newcombe 1998, Stat Med 17:857 and 17:873.
Design effect: Rao & Scott 1992, Biometrics 48:577.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt
from scipy.special import betaincinv, ndtri

from api.healing.errors import ShareError, TooFewCutsError
from api.healing.rows import FloatArray


class Interval(NamedTuple):
    """Limits of a proportion, or of a difference of two."""

    low: float
    high: float


@dataclass(frozen=True)
class ClusterCounts:
    """Of each cut of one method: `events` among `pieces`. Shapes (cuts,)."""

    events: FloatArray
    pieces: FloatArray

    @classmethod
    def of(cls, events: npt.ArrayLike, pieces: npt.ArrayLike) -> ClusterCounts:
        """Checked counts; ShareError unless 0 <= events <= pieces, pieces >= 1, equal lengths."""
        y, n = np.asarray(events, np.float64), np.asarray(pieces, np.float64)
        if y.ndim != 1 or y.shape != n.shape:
            raise ShareError("Give one count of events and one of pieces for every cut.")
        if not (np.isfinite(y).all() and np.isfinite(n).all()):
            raise ShareError("A cut's count is missing; leave the cut out or count it.")
        if (n < 1).any() or (y < 0).any() or (y > n).any():
            raise ShareError("A cut has no pieces, or more events than pieces, or fewer than 0.")
        return cls(y, n)


def wilson(events: float, pieces: float, level: float = 0.95, deff: float = 1.0) -> Interval:
    """Wilson's score interval (1927; Newcombe's method 3) on pieces / deff pieces.

    (0, 1) for no pieces. ShareError for impossible counts, level or deff.
    """
    _check(events, pieces, level, deff)
    if pieces == 0:
        return Interval(0.0, 1.0)
    size, share = pieces / deff, events / pieces
    z = _normal(level)
    centre = share + z * z / (2.0 * size)
    half = z * np.sqrt(share * (1.0 - share) / size + z * z / (4.0 * size * size))
    scale = 1.0 + z * z / size
    low = 0.0 if events == 0 else float((centre - half) / scale)
    high = 1.0 if events == pieces else float((centre + half) / scale)
    return Interval(low, high)


def clopper_pearson(events: float, pieces: float, level: float = 0.95) -> Interval:
    """The exact interval (Clopper & Pearson 1934): covers at least `level`, for promises.

    (0, 1) for no pieces. ShareError for impossible counts or level.
    """
    _check(events, pieces, level, 1.0)
    tail = (1.0 - level) / 2.0
    low = 0.0 if events == 0 else float(betaincinv(events, pieces - events + 1.0, tail))
    high = 1.0 if events == pieces else float(betaincinv(events + 1.0, pieces - events, 1.0 - tail))
    return Interval(low, high)


def difference(
    events: tuple[float, float],
    pieces: tuple[float, float],
    level: float = 0.95,
    deff: float = 1.0,
) -> Interval:
    """Interval of share one - share two: Newcombe's hybrid score method 10, on pieces / deff.

    ShareError for impossible counts or where one side has no pieces.
    """
    if min(pieces) == 0:
        raise ShareError("One side has no pieces, so there is no difference to give.")
    (x1, x2), (n1, n2) = events, pieces
    one, two = wilson(x1, n1, level, deff), wilson(x2, n2, level, deff)
    p1, p2 = x1 / n1, x2 / n2
    below = np.hypot(p1 - one.low, two.high - p2)
    above = np.hypot(one.high - p1, p2 - two.low)
    return Interval(float(p1 - p2 - below), float(p1 - p2 + above))


def design_effect(counts: ClusterCounts) -> float:
    """Variance of a method's share between cuts over the binomial one; not floored.

    Ratio estimator: m/(m-1) sum (y - n p)^2 / n.^2 against p (1 - p) / n. with m cuts. 1 where
    no piece or every piece has the event, since nothing varies. TooFewCutsError below two cuts.
    """
    cuts, total = counts.pieces.size, float(counts.pieces.sum())
    if cuts < 2:
        raise TooFewCutsError(
            f"A method with {cuts} cut(s) does not show how much its cuts differ."
        )
    share = float(counts.events.sum()) / total
    if share in (0.0, 1.0):
        return 1.0
    spread = float(((counts.events - counts.pieces * share) ** 2).sum())
    return cuts / (cuts - 1) * spread / (share * (1.0 - share) * total)


def _normal(level: float) -> float:
    return float(ndtri(0.5 + level / 2.0))


def _check(events: float, pieces: float, level: float, deff: float) -> None:
    if not 0 <= events <= pieces or not np.isfinite(pieces):
        raise ShareError(f"{events} of {pieces} pieces is not a share; check the counts.")
    if not 0.0 < level < 1.0:
        raise ShareError(f"A confidence level lies between 0 and 1, not at {level}.")
    if not (deff > 0.0 and np.isfinite(deff)):
        raise ShareError(f"A design effect is a positive number, not {deff}.")
