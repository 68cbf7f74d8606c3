"""Cuts whose pieces are shared out between two arms, and rows typed as text."""

from __future__ import annotations

import re

import numpy as np

from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, outcomes, rows_of, traits

KINDS = {"r": Cause.READY, "x": Cause.LOST, "c": Cause.STILL}


def typed(*cuts: str, first: int = 0) -> IntervalRows:
    """'r3-9 x0-4 c12': ready in (3, 9], lost in (0, 4], still healing on 12; one text a cut."""
    found = [
        (int(left), int(right or left), KINDS[kind], first + cut)
        for cut, text in enumerate(cuts)
        for kind, left, right in re.findall(r"([rxc])(\d+)(?:-(\d+))?", text)
    ]
    return IntervalRows.of(*zip(*found, strict=True))


def by_day_ten(*shares: int, first: int = 0, lost: bool = False) -> IntervalRows:
    """Cuts of ten pieces, so many of each ready (or lost) on day 10, the rest still on day 40."""
    kind = "x" if lost else "r"
    return typed(*(" ".join([f"{kind}9-10"] * n + ["c40"] * (10 - n)) for n in shares), first=first)


def renumbered(rows: IntervalRows, by: int) -> IntervalRows:
    return IntervalRows.of(rows.left, rows.right, rows.cause, rows.cluster + by, rows.weight)


def apart(seed: int, one: Farm, two: Farm) -> tuple[IntervalRows, IntervalRows]:
    """Two groups that share no cut."""
    random = np.random.default_rng(seed)
    return rows_of(one, random), renumbered(rows_of(two, random), 1000)


def drawn(farm: Farm, seed: int, slower: float = 1.0) -> tuple[IntervalRows, IntervalRows]:
    """Every cut half in each arm, looked at on the same days; the second arm takes `slower` times
    as long to get ready."""
    random, each = np.random.default_rng(seed), np.ones(farm.pieces // 2)
    arms: tuple[list[tuple[np.ndarray, ...]], ...] = ([], [])
    for cut, (speed, odds) in enumerate(zip(*traits(farm, random, farm.cuts), strict=True)):
        looks = np.cumsum(random.integers(farm.gap - 2, farm.gap + 3, 60))
        looks = np.concatenate(([0], looks[looks <= random.integers(*farm.watched)]))
        for arm, factor in zip(arms, (1.0, slower), strict=True):
            lost, time = outcomes(random, speed * factor * each, odds * each)
            after = np.searchsorted(looks, time, side="left")
            seen = after < looks.size
            left = looks[after - 1]
            right = np.where(seen, looks[np.minimum(after, looks.size - 1)], left)
            cause = np.where(seen, np.where(lost, Cause.LOST, Cause.READY), Cause.STILL)
            arm.append((left, right, cause, np.full(each.size, cut)))
    one, two = (
        IntervalRows.of(*(np.concatenate(column) for column in zip(*arm, strict=True)))
        for arm in arms
    )
    return one, two
