"""Cuts of pieces with a truth that is known: time to ready, loss, and looks with gaps.

Each cut has a speed (log-normal factor on all its times) and a share lost (logit-normal), so
pieces of one cut go well or badly together; all of a cut is looked at on the same days. `loss` is
the middle of the log odds of loss, `slower` a factor on all times to ready.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.rows import Cause, IntervalRows

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Farm:
    cuts: int
    pieces: int
    gap: int = 7
    speed_spread: float = 0.35
    loss_spread: float = 0.8
    watched: tuple[int, int] = (50, 100)
    loss: float = -1.3
    slower: float = 1.0


def outcomes(
    random: np.random.Generator, speed: Array, odds: Array
) -> tuple[npt.NDArray[np.bool_], Array]:
    """(lost, exact time) of pieces with the given speed factor and log odds of loss."""
    lost = random.random(speed.size) < 1.0 / (1.0 + np.exp(-odds))
    fast = 20.0 * random.weibull(1.2, speed.size) + 0.5
    slow = speed * 35.0 * random.weibull(3.0, speed.size) + 1.0
    return lost, np.where(lost, fast, slow)


def traits(farm: Farm, random: np.random.Generator, size: int) -> tuple[Array, Array]:
    speed = farm.slower * np.exp(random.normal(0.0, farm.speed_spread, size))
    return speed, random.normal(farm.loss, farm.loss_spread, size)


def rows_of(farm: Farm, random: np.random.Generator) -> IntervalRows:
    """`cuts` cuts of `pieces` pieces each, as seen by the person who looks."""
    parts = []
    for cut, (speed, odds) in enumerate(zip(*traits(farm, random, farm.cuts), strict=True)):
        each = np.ones(farm.pieces)
        lost, time = outcomes(random, speed * each, odds * each)
        looks = np.cumsum(random.integers(farm.gap - 2, farm.gap + 3, 60))
        looks = np.concatenate(([0], looks[looks <= random.integers(*farm.watched)]))
        after = np.searchsorted(looks, time, side="left")
        seen = after < looks.size
        left = looks[after - 1]
        right = np.where(seen, looks[np.minimum(after, looks.size - 1)], left)
        cause = np.where(seen, np.where(lost, Cause.LOST, Cause.READY), Cause.STILL)
        parts.append((left, right, cause, np.full(farm.pieces, cut)))
    return IntervalRows.of(*(np.concatenate(column) for column in zip(*parts, strict=True)))


def truth(farm: Farm, days: int, size: int = 400_000) -> tuple[Array, Array]:
    """(F_ready, F_lost) at the end of day 0, ..., days, by drawing `size` pieces of own cuts."""
    random = np.random.default_rng(20_000)
    lost, time = outcomes(random, *traits(farm, random, size))
    day = np.minimum(np.ceil(time), days + 1).astype(int)
    ready, dead = (np.bincount(day[which], minlength=days + 2) for which in (~lost, lost))
    return np.cumsum(ready)[:-1] / size, np.cumsum(dead)[:-1] / size
