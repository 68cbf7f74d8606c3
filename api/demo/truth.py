"""What is true on the invented farm, so that estimates can be set beside it.

A piece is lost with a probability that depends on the method and on its cut; else it becomes
ready after a Weibull time whose scale depends on method, species, mouth kept, base and cut. Cuts
differ by normal effects, so that pieces of one cut are alike. All numbers are invented.
"""

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

READY_SHAPE = 4.0
LOST_SHAPE, LOST_SCALE = 1.2, 45.0
CUT_SD_TIME, CUT_SD_LOSS = 0.12, 0.5


@dataclass(frozen=True)
class MethodTruth:
    """`scale` in days at the reference species and mouth; `lost` the share at a middling cut."""

    key: str
    scale: float
    lost: float


METHODS = (
    MethodTruth("method.band-saw", 112.0, 0.10),
    MethodTruth("method.tile-saw", 128.0, 0.14),
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


def lost_share(method: MethodTruth, cut_effect: float | NDArray[np.float64]) -> NDArray[np.float64]:
    """The probability that a piece of a cut is lost: logistic in the cut's effect."""
    logit = np.log(method.lost / (1 - method.lost)) + cut_effect
    return np.asarray(1 / (1 + np.exp(-logit)))


def true_share_lost(method: MethodTruth, day: float) -> float:
    """F_lost(day), averaged over cuts by Gauss-Hermite quadrature."""
    nodes, weights = hermegauss(40)
    weights = weights / weights.sum()
    by_day = 1 - np.exp(-((day / LOST_SCALE) ** LOST_SHAPE))
    return float(weights @ lost_share(method, CUT_SD_LOSS * nodes) * by_day)


def true_share_ready(method: MethodTruth, day: float) -> float:
    """F_ready(day), averaged over cuts (quadrature), species (equal), mouths kept and bases."""
    nodes, weights = hermegauss(40)
    weights = weights / weights.sum()
    kept = float(weights @ (1 - lost_share(method, CUT_SD_LOSS * nodes)))
    total = 0.0
    for species, mouth, base in product(SPECIES_FACTOR, MOUTH_FACTOR, BASE_FACTOR):
        scale = method.scale * SPECIES_FACTOR[species] * MOUTH_FACTOR[mouth] * BASE_FACTOR[base]
        scales = scale * np.exp(CUT_SD_TIME * nodes)
        share = float(weights @ (1 - np.exp(-((day / scales) ** READY_SHAPE))))
        total += MOUTH_SHARE[mouth] * BASE_SHARE[base] / len(SPECIES_FACTOR) * share
    return kept * total


def true_median_ready(method: MethodTruth) -> float | None:
    """The day by which half of the pieces cut are ready; None if it never comes."""
    if true_share_ready(method, 2000) < 0.5:
        return None
    low, high = 0.0, 2000.0
    while high - low > 0.01:
        middle = (low + high) / 2
        low, high = (middle, high) if true_share_ready(method, middle) < 0.5 else (low, middle)
    return high
