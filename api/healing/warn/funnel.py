"""Which units have lost more than usual, all side by side: a funnel with room for differences.

Each unit's losses y of n against what the others lead to expect, m (Spiegelhalter 2005, Stat Med
24:1185), in a beta-binomial distribution, because units differ anyway: plain binomial limits call
ordinary units odd. How much they differ, rho, is learnt from the others too. What is learnt from
few is itself unsure, so rho is widened by the variance of m and begins from a usual value
(`PRIOR`). 'look' beyond the upper 95 % limit (2.5 % above it), 'act' beyond the 99.8 % one (0.1 %),
both on mid-p.

The list of Benjamini & Hochberg (1995, JRSS B 57:289), of which at most 10 % are expected to be
false, is not asked beside the limits, since it costs half of what they find. In 540 simulated farms
of 25 and 50 units 1.1 to 4.0 of a hundred usual units stood beyond the limit of 'look', 0 to 1.0
when they had to be on the list too; of units with six times the odds of loss, in farms whose units
hardly differ, 32 to 55 of a hundred were found against 10 to 28, by 'act' alone 2 to 20. To ask for
a look is cheap, and how often it is asked by chance is said beside the answer. To measure it again:
tests/healing/warn/false_alarms.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from api.healing.errors import ShareError, TooFewCutsError
from api.healing.proportions import ClusterCounts
from api.healing.rows import FloatArray
from api.healing.warn.beta_binomial import MOST_ALIKE, mid_p
from api.healing.warn.expected import others

LOOK, ACT = 0.025, 0.001
TABLE = 1_000_000
"""Numbers of losses that are weighed at a time, over all units of one size."""
Level = Literal["usual", "look", "act"]


class Prior(NamedTuple):
    """`rho` as it is usual, worth `units` units of eight pieces of which a fifth is lost."""

    rho: float
    units: float

    @property
    def weight(self) -> float:
        return self.units * 8.0 * 7.0 * 0.16


PRIOR = Prior(0.1, 4.0)
"""Not learnt from any source: chosen, and checked by simulation (tests/healing/warn/
false_alarms.py), so that farms of four units raise hardly more false alarms than farms of fifty:
where units differ as is usual 1 to 4 of a hundred against 2 to 3; where they differ very much,
4 to 6 against 3."""


@dataclass(frozen=True)
class Standing:
    """One unit. `expected` is what was asked about, before anything is added to it for the limits;
    `mid_p`: how odd so many losses or more are."""

    pieces: int
    lost: int
    expected: float
    mid_p: float
    level: Level


def funnel(
    lost: npt.ArrayLike,
    pieces: npt.ArrayLike,
    expected: npt.ArrayLike | None = None,
    prior: Prior = PRIOR,
) -> list[Standing]:
    """Every unit's standing, in order. All of shape (units,), whole pieces.

    `expected` are losses expected of each (`expected_losses`); without it the share lost of the
    other units is expected. ShareError for impossible counts, TooFewCutsError below two units.
    """
    counts = _checked(lost, pieces)
    means = _means(counts, expected)
    shape = np.ones(means.size) if expected is None else means
    odd = _mid_p(counts, *_predicted(counts, means, _rho(counts, shape, prior)))
    levels: list[Level] = ["act" if p <= ACT else "look" if p <= LOOK else "usual" for p in odd]
    whole = (counts.pieces.astype(np.int64), counts.events.astype(np.int64))
    columns = (*whole, counts.pieces * means, odd)
    return [
        Standing(*each)
        for each in zip(*(column.tolist() for column in columns), levels, strict=True)
    ]


def _mid_p(counts: ClusterCounts, means: FloatArray, rho: FloatArray) -> FloatArray:
    """How odd each unit's losses are, (units,); units of as many pieces are worked out together."""
    odd = np.zeros(means.size)
    for size in np.unique(counts.pieces):
        [mine] = np.nonzero(counts.pieces == size)
        for few in np.array_split(mine, 1 + mine.size * int(size) // TABLE):
            table = mid_p(int(size), means[few], rho[few])
            odd[few] = table[np.arange(few.size), counts.events[few].astype(np.int64)]
    return odd


def _checked(lost: npt.ArrayLike, pieces: npt.ArrayLike) -> ClusterCounts:
    counts = ClusterCounts.of(lost, pieces)
    if any((each != np.rint(each)).any() for each in (counts.events, counts.pieces)):
        raise ShareError("Losses and pieces are whole numbers; a part of a piece is not lost.")
    if counts.pieces.size < 2:
        raise TooFewCutsError("One unit alone has no others that it could be compared with.")
    return counts


def _means(counts: ClusterCounts, expected: npt.ArrayLike | None) -> FloatArray:
    """The share expected of each unit; without `expected` that of the others together."""
    y, n = counts.events, counts.pieces
    if expected is None:
        return np.asarray((y.sum() - y) / (n.sum() - n), np.float64)
    e = np.asarray(expected, np.float64)
    if e.shape != n.shape or not np.all((e >= 0.0) & (e <= n)):
        raise ShareError("Expected losses lie from 0 to the unit's pieces, one for each unit.")
    return np.asarray(e / n, np.float64)


def _rho(counts: ClusterCounts, shape: FloatArray, prior: Prior) -> FloatArray:
    """rho of the others of each unit, with the prior; shape (units,).

    Moments: rho is sum excess / sum weight, with excess (y - n m)^2 - n m (1 - m) and weight
    n (n - 1) m (1 - m), which equates the squares to Var(y) of `beta_binomial` (Kleinman 1973,
    JASA 68:46, with the weights of Moore 1986, from memory). The others' shares m are scaled by c
    so that they add up to their own losses: a bad unit must not hide by having raised what is
    expected of them.
    `shape`, (units,), are shares up to that scale. Sums written out, so that this takes no loop:
    excess (y - c e)^2 - c e + c^2 e^2 / n, weight (n - 1) (c e - c^2 e^2 / n), e = n shape.
    """
    y, n = counts.events, counts.pieces
    e = n * shape
    lost, due = others(y), others(e)
    c = np.divide(lost, due, out=np.zeros_like(due), where=due > 0.0)
    squares = others(y * y) - 2.0 * c * others(y * e) + c * c * others(e * e)
    excess = squares - c * due + c * c * others(e * e / n)
    weight = c * others((n - 1.0) * e) - c * c * others((n - 1.0) * e * e / n)
    weight = np.maximum(weight, 0.0) + prior.weight
    return np.clip((excess + prior.rho * prior.weight) / weight, 0.0, MOST_ALIKE)


def _predicted(
    counts: ClusterCounts, means: FloatArray, rho: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(mean, rho) to predict each unit by: what the others' small number adds to theirs.

    The others are worth 1 / u independent pieces, u = sum n_j (1 + (n_j - 1) rho) / (sum n_j)^2.
    Half a loss and half a piece that lived are added to them, so that others without any loss do
    not make the first one impossible (as Jeffreys' prior does). Their share's own variance,
    m (1 - m) u, is that of a beta-binomial with rho larger by u n / (n - 1), since
    Var(y - n m_hat) = n m (1 - m) (1 + (n - 1) rho) + n^2 Var(m_hat).
    """
    n = counts.pieces
    squares, total = (n * (n - 1.0)).sum() - n * (n - 1.0), n.sum() - n
    unsure = (total + squares * rho) / total**2
    wider = rho + np.where(n > 1.0, n / np.maximum(n - 1.0, 1.0), 0.0) * unsure
    return (means + 0.5 * unsure) / (1.0 + unsure), np.clip(wider, 0.0, MOST_ALIKE)
