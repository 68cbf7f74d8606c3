"""What is true on the invented farm, so that estimates can be set beside it.

A piece is lost with a probability that depends on the method, on the blade's wear and on its cut;
else it becomes ready after a Weibull time whose scale depends on method, species, mouth kept, base,
what its tank is given, and cut. Cuts differ by normal effects, so that pieces of one cut are alike.
Who holds the saw makes no difference, and tanks do not differ but by what they are given. All
numbers are invented.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Literal, NamedTuple

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

READY_SHAPE = 4.0
LOST_SHAPE, LOST_SCALE = 1.2, 45.0
CUT_SD_TIME, CUT_SD_LOSS = 0.12, 0.5

Floats = NDArray[np.float64]
Wear = Literal["new", "good", "worn"]
Regime = Literal["plain", "amino"]


@dataclass(frozen=True)
class MethodTruth:
    """`scale` in days at the reference species and mouth; `lost` the share at a middling cut."""

    key: str
    scale: float
    lost: float


METHODS = (
    MethodTruth("method.band-saw", 112.0, 0.07),
    MethodTruth("method.tile-saw", 128.0, 0.08),
    MethodTruth("method.rotary-tool", 145.0, 0.24),
)
SPECIES_FACTOR = {
    "species.lobophyllia-hemprichii": 1.0,
    "species.trachyphyllia-geoffroyi": 1.08,
    "species.micromussa-lordhowensis": 0.92,
    "species.favites-pentagona": 0.96,
    "species.euphyllia-glabrescens": 1.05,
}
MOUTH_FACTOR = {"none": 1.12, "part": 0.96}
MOUTH_SHARE = {"none": 0.4, "part": 0.6}
# Pieces for sale go on the small base and those held back on the large one: what a farm does, and
# why base and purpose cannot be told apart in its records.
BASE_FACTOR = {"base.hex-40": 0.97, "base.hex-50": 1.10}
BASE_SHARE = {"base.hex-40": 0.75, "base.hex-50": 0.25}
BASE_OF = {"sale": "base.hex-40", "hold": "base.hex-50"}
REGIME_FACTOR: dict[Regime, float] = {"plain": 1.0, "amino": 0.92}
"""The only thing that is true of regimes: what some tanks are given besides makes healing faster.
Each regime has half of the tanks and of the cuts."""
WEAR_LOSS: dict[Wear, float] = {"new": 0.0, "good": 0.0, "worn": 0.5}
"""The only thing that is true of blades: log odds of loss that a worn one adds."""


class Made(NamedTuple):
    """How a piece was made: all that its fate depends on, but for how its cut turned out."""

    method: MethodTruth
    species: str
    mouth: str
    base: str
    wear: Wear = "good"
    regime: Regime = "plain"

    @property
    def scale(self) -> float:
        """Days, of the Weibull time to ready at a middling cut."""
        return (
            self.method.scale * SPECIES_FACTOR[self.species] * MOUTH_FACTOR[self.mouth]
            * BASE_FACTOR[self.base] * REGIME_FACTOR[self.regime]
        )  # fmt: skip

    @property
    def lost_logit(self) -> float:
        """Log odds that it is lost, at a middling cut."""
        return float(np.log(self.method.lost / (1 - self.method.lost))) + WEAR_LOSS[self.wear]


Mix = Mapping[Made, float]
"""Kinds of pieces, and how many there are of each."""


def usual_mix(method: MethodTruth) -> Mix:
    """The pieces that a method is meant to make: good blades, no amino acids, all else as shared
    out."""
    return {
        Made(method, species, mouth, base): MOUTH_SHARE[mouth] * BASE_SHARE[base]
        for species, mouth, base in product(SPECIES_FACTOR, MOUTH_SHARE, BASE_SHARE)
    }


def lost_share(made: Made, cut_effect: float | Floats) -> Floats:
    """The probability that a piece of a cut is lost: logistic in the cut's effect."""
    return _logistic(made.lost_logit + cut_effect)


def true_share_lost(mix: Mix, day: float) -> float:
    """F_lost(day) of such pieces, averaged over cuts by Gauss-Hermite quadrature."""
    by_day = 1 - np.exp(-((day / LOST_SCALE) ** LOST_SHAPE))
    return float(np.average(_lost(mix), weights=list(mix.values())) * by_day)


def true_share_ready(mix: Mix, day: float) -> float:
    """F_ready(day) of such pieces, averaged over cuts likewise; a cut's speed and its losses are
    drawn apart."""
    nodes, weights = _cuts()
    scales = np.array([made.scale for made in mix])[:, None] * np.exp(CUT_SD_TIME * nodes)
    done = (1 - np.exp(-((day / scales) ** READY_SHAPE))) @ weights
    return float(np.average((1 - _lost(mix)) * done, weights=list(mix.values())))


def true_day_ready(mix: Mix, share: float = 0.5) -> float | None:
    """The day by which `share` of such pieces are ready; None if it never comes."""
    if true_share_ready(mix, 2000) < share:
        return None
    low, high = 0.0, 2000.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if true_share_ready(mix, middle) < share else (low, middle)
    return high


def _lost(mix: Mix) -> Floats:
    """Each kind's share lost in the end, averaged over cuts; (kinds,)."""
    nodes, weights = _cuts()
    logits = np.array([made.lost_logit for made in mix])
    return np.asarray(_logistic(logits[:, None] + CUT_SD_LOSS * nodes) @ weights)


def _logistic(logit: float | Floats) -> Floats:
    return np.asarray(1 / (1 + np.exp(-logit)))


@cache
def _cuts() -> tuple[Floats, Floats]:
    """Nodes and weights of a standard normal effect."""
    nodes, weights = hermegauss(40)
    return nodes, weights / weights.sum()
