"""When the model should not be believed: against the plain curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.incidence import fit_incidence
from api.healing.predict.columns import columns_of
from api.healing.predict.mixture import log_day, log_power, log_shares
from api.healing.predict.model import Model, Standing
from api.healing.rows import FloatArray, IntervalRows

FEWEST = 50
FARTHEST = 0.10


@dataclass(frozen=True)
class Apart:
    """On `day` the model's F_ready of a method lies `by` outside its plain curve."""

    group: int
    pieces: int
    day: int
    by: float


def far_from_plain(
    model: Model, rows: IntervalRows, group: npt.ArrayLike, x: npt.ArrayLike | None = None
) -> list[Apart]:
    """Methods of 50 pieces or more whose predicted curve is more than 0.10 from the one that
    assumes nothing; a day on which that one is not identified counts from its nearer limit.
    Worst first; input and errors as in `fit`."""
    codes, traits = columns_of(rows, group, x)
    pieces = Standing(rows.left, rows.right, rows.right, codes, rows.cluster, traits)
    five, found = model.best(pieces), []
    for code in np.unique(codes):
        inside = codes == code
        chosen = rows.select(inside)
        if chosen.pieces < FEWEST:
            continue
        plain = fit_incidence(chosen).ready
        days = plain.change_days()
        lower, upper = plain.bounds(days)
        mean = mean_ready(five[inside], chosen.weight / chosen.pieces, days.astype(np.float64))
        gap = np.maximum(np.maximum(lower - mean, mean - upper), 0.0)
        worst = int(np.argmax(gap))
        if gap[worst] > FARTHEST:
            found.append(Apart(int(code), chosen.pieces, int(days[worst]), float(gap[worst])))
    return sorted(found, key=lambda one: -one.by)


def mean_ready(five: FloatArray, share: FloatArray, days: FloatArray) -> FloatArray:
    """F_ready averaged over pieces with five numbers (p, 5) and shares (p,), at `days` (d,)."""
    pi = np.exp(log_shares(five[:, 0])[0])
    u = np.exp(log_power(log_day(days)[:, None], five[:, 1], five[:, 3]))
    found: FloatArray = (pi * -np.expm1(-u)) @ share
    return found
