"""One simulated farm, all its intervals, and whether each holds the truth."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from api.healing.bands import Band, band_of, replicates_of
from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.shares import ShareContrast
from api.healing.incidence import fit_incidence
from api.healing.loss_share import share_lost
from api.healing.proportions import ClusterCounts, Interval, design_effect, wilson
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Array, Farm, rows_of, truth

READY_DAYS, LOST_DAY, HORIZON = (25, 30, 40), 14, 30
COMPARED = (30, 40)
LAST = 130
NEVER = 10**6

Held = dict[str, bool | None]
"""By quantity: whether the interval holds the truth; None where the program gives none."""


@dataclass(frozen=True)
class Pairing:
    """Two groups to be compared: each of cuts of its own, or both out of every cut."""

    farm: Farm
    shared: bool

    @property
    def other(self) -> Farm:
        """The second group: as the first where they share cuts, else a fifth slower, more lost."""
        if self.shared:
            return self.farm
        return replace(self.farm, loss=self.farm.loss + 0.5, slower=1.2)


@lru_cache
def shares(loss: float, slower: float) -> tuple[Array, Array]:
    """(F_ready, F_lost) by day; neither depends on how many cuts there are or when looks are."""
    return truth(Farm(1, 1, loss=loss, slower=slower), LAST)


def half_of(ready: Array) -> int:
    """The first day by whose end half are ready; NEVER if there is none."""
    reached = ready >= 0.5
    return int(np.argmax(reached)) if reached.any() else NEVER


def curves_hold(farm: Farm, seed: tuple[int, ...]) -> Held:
    """The intervals of one farm, as the report makes them."""
    rows = rows_of(farm, np.random.default_rng(seed))
    ready, lost = shares(farm.loss, farm.slower)
    fit = fit_incidence(rows)
    again = replicates_of(rows, fit)
    band = band_of(fit, Cause.READY, again)
    held: Held = {"half ready": _half_held(band, half_of(ready), fit.tail_mass > 0.0)}
    for day in READY_DAYS:
        held[f"ready by {day}"] = _inside(ready[day], band.at(day))
    for day in (LOST_DAY, HORIZON):
        found = share_lost(fit, again, day)
        held[f"lost by {day}"] = _inside(lost[day], (found.low, found.high))
    counts = counts_by(rows, HORIZON)
    for name, deff in (("(counted)", max(1.0, design_effect(counts))), ("(deff 1)", 1.0)):
        limits = wilson(float(counts.events.sum()), float(counts.pieces.sum()), deff=deff)
        held[name] = _inside(lost[HORIZON], limits)
    return held


def differences_hold(pairing: Pairing, seed: tuple[int, ...]) -> Held:
    """The intervals of the differences between two groups, as the comparison makes them."""
    one, two = two_groups(pairing, np.random.default_rng(seed))
    truths = [shares(farm.loss, farm.slower) for farm in (pairing.farm, pairing.other)]
    (ready, lost), (ready_two, lost_two) = truths
    held: Held = {}
    for day in COMPARED:
        found = contrast(one, two, day)
        held[f"ready by {day}"] = _difference_held(found.ready, ready[day] - ready_two[day])
        held[f"lost by {day}"] = _difference_held(found.lost, lost[day] - lost_two[day])
        if day == COMPARED[0]:
            held["half ready"] = _days_held(found, half_of(ready) - half_of(ready_two))
    return held


def two_groups(pairing: Pairing, random: np.random.Generator) -> tuple[IntervalRows, IntervalRows]:
    """Rows of both groups; cuts have the same number in both just where they are shared."""
    if pairing.shared:
        rows = rows_of(replace(pairing.farm, pieces=2 * pairing.farm.pieces), random)
        first = np.arange(rows.left.size) % 2 == 0
        return rows.select(first), rows.select(~first)
    one, two = rows_of(pairing.farm, random), rows_of(pairing.other, random)
    return one, IntervalRows.of(
        two.left, two.right, two.cause, two.cluster + pairing.farm.cuts, two.weight
    )


def counts_by(rows: IntervalRows, horizon: int) -> ClusterCounts:
    """Lost by the first look on or after `horizon`, of all, by cut.

    Every simulated cut is watched beyond the horizon, so no piece's fate is open there.
    """
    assert (np.where(rows.cause == Cause.STILL, rows.right, horizon) >= horizon).all()
    lost = (rows.cause == Cause.LOST) & (rows.left < horizon)
    return ClusterCounts.of(
        np.bincount(rows.cluster, rows.weight * lost), np.bincount(rows.cluster, rows.weight)
    )


def _half_held(band: Band, half: int, tail: bool) -> bool:
    found = band.quantile(0.5)
    if found is None:
        return tail and half > int(band.days[-1])
    return found.low <= half <= (NEVER if found.high is None else found.high)


def _inside(true: float, found: Interval | tuple[float, float]) -> bool:
    return bool(found[0] <= true <= found[1])


def _difference_held(found: ShareContrast, true: float) -> bool:
    return bool(found.low <= 100.0 * true <= found.high)


def _days_held(found: Contrast, true: int) -> bool | None:
    if found.half is None:
        return None
    low, high = found.half.low, found.half.high
    return (-NEVER if low is None else low) <= true <= (NEVER if high is None else high)
