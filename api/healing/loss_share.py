"""The share lost by a day, of all pieces cut, with its limits.

It is F_lost of the joint estimate and its band at that day, as the share ready is. Counting pieces
lost by the first look after the day instead counts later losses too (with looks 14 days apart and
30 in a hundred lost by day 30, 33), and needs cuts watched past the day: limits of such counts hold
the truth in as few as 81 in a hundred simulated farms, where those of the band do in 93 and more
(`tests/reference/coverage.py`).
"""

from __future__ import annotations

from typing import NamedTuple

from api.healing.bands import band_of
from api.healing.errors import ShareError
from api.healing.incidence import Incidence
from api.healing.resample import Replicates
from api.healing.rows import Cause


class Share(NamedTuple):
    """Of all pieces cut, 0 <= low <= least <= most <= high <= 1.

    `least` and `most` are what looks leave open, and equal where the curve is known on the day;
    `low` and `high` are the limits.
    """

    least: float
    most: float
    low: float
    high: float


def share_lost(fit: Incidence, again: Replicates, horizon: int, level: float = 0.95) -> Share:
    """Lost, not yet ready, by the end of day `horizon`, at least 1.

    `fit` and `again` are the estimate of a group's rows and its replicates
    (`bands.replicates_of`). All pieces that were looked at belong into the rows, young ones too:
    each counts as far as it was watched. Beyond the last day watched (`fit.lost.tail_from`) `most`
    and `high` take in all that may still come. ShareError for a day before 1 or a level outside
    (0, 1).
    """
    if horizon < 1:
        raise ShareError(f"Losses are counted by day 1 after the cut or later, not by {horizon}.")
    low, high = band_of(fit, Cause.LOST, again, level).at(horizon)
    return Share(*fit.lost.cumulative(horizon), low, high)
