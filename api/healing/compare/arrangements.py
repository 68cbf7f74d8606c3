"""The arrangements of labels that a design allows, and the sum of scores in each of them.

A design is a list of parts; within each part labels move freely and between parts not at all, so
the arrangements are the product of choose(k, take) over parts, and their sums add up.
"""

from __future__ import annotations

from itertools import combinations
from math import comb
from typing import NamedTuple

import numpy as np

from api.healing.rows import BoolArray, FloatArray, IntArray, sums

COUNTED_UP_TO = 10**12
BLOCK = 1_000_000
"""Random numbers held at a time."""


class Part(NamedTuple):
    """Units among which labels move: values (k,) less their mean, `take` of them first."""

    values: FloatArray
    take: int


def parts_of(
    score: FloatArray, first: BoolArray, unit: IntArray, weight: IntArray
) -> tuple[list[Part], float]:
    """The parts in which anything can move, and the statistic: what cannot adds nothing to it.

    All (rows,). Units with pieces on one side only are one part, each by the sum of its scores;
    every other unit is a part of its own, by pieces.
    """
    names, code = np.unique(unit, return_inverse=True)
    ours, theirs = sums(code, weight * first, names.size), sums(code, weight * ~first, names.size)
    whole = (ours == 0.0) | (theirs == 0.0)
    dealt = [(sums(code, weight * score, names.size)[whole], (ours > 0.0)[whole])]
    order = np.argsort(code, kind="stable")
    groups = np.split(order, np.cumsum(np.bincount(code, minlength=names.size))[:-1])
    for index in (groups[i] for i in np.flatnonzero(~whole)):
        times = weight[index]
        dealt.append((np.repeat(score[index], times), np.repeat(first[index], times)))
    parts, observed = [], 0.0
    for values, mine in dealt:
        if 0 < np.count_nonzero(mine) < mine.size:
            away = values - values.mean()
            parts.append(Part(away, int(np.count_nonzero(mine))))
            observed += float(away[mine].sum())
    return parts, observed


def arrangements(parts: list[Part]) -> int | None:
    """How many there are, the one that was dealt included; None above 10^12."""
    count = 1
    for values, take in parts:
        few = min(take, values.size - take)
        # choose(100, 50) is beyond the limit already, and larger ones take long to write out.
        count *= comb(values.size, few) if few < 50 else 10 * COUNTED_UP_TO
        if count > COUNTED_UP_TO:
            return None
    return count


def smallest_p(parts: list[Part], count: int | None) -> float:
    """Two-sided. Where both sides have as many, every arrangement has a mirror as extreme."""
    if count is None:
        return 0.0
    mirrored = bool(parts) and all(2 * part.take == part.values.size for part in parts)
    return (2 if mirrored else 1) / count


def all_sums(parts: list[Part]) -> FloatArray:
    """The statistic of every arrangement; (arrangements,)."""
    found = np.zeros(1)
    for values, take in parts:
        # The values sum to 0, so the fewer side's sum is the other's with the sign turned.
        few, sign = min((take, 1.0), (values.size - take, -1.0))
        chosen = np.array(list(combinations(range(values.size), few)))
        found = np.add.outer(found, sign * values[chosen].sum(axis=1)).ravel()
    return found


def drawn_sums(parts: list[Part], draws: int, seed: int) -> FloatArray:
    """The statistic of `draws` arrangements drawn alike; (draws,)."""
    random, found = np.random.default_rng(seed), np.zeros(draws)
    for values, take in parts:
        block = max(1, BLOCK // values.size)
        for start in range(0, draws, block):
            keys = random.random((min(block, draws - start), values.size))
            chosen = np.argpartition(keys, take - 1, axis=1)[:, :take]
            found[start : start + block] += values[chosen].sum(axis=1)
    return found


def variance(parts: list[Part]) -> float:
    """Of the statistic over all arrangements, exactly (sampling without replacement)."""
    each = ((len(v), take, float(v @ v)) for v, take in parts)
    return sum(take * (k - take) / (k * (k - 1)) * square for k, take, square in each)
