"""A warning as losses come in, look by look, with a false-alarm rate that is stated beforehand.

After each look the losses of one unit are compared under two readings: its rate is the usual one
times a factor as units differ anyway (gamma, mean 1), or it is `TIMES` as much. The ratio of their
likelihoods is a sequential probability ratio (Wald 1945, Ann Math Stat 16:117) with both readings
mixed over what units are like (Robbins 1970, Ann Math Stat 41:1397). Under the first reading its
mean never rises, so that by Ville's inequality (1939)
    P(the ratio is ever r or more) <= 1 / r
however often and whenever somebody looks. That proves 8.4 % and 0.7 % for the ratios below, while
the usual rate is known; it has to be learnt. Stated are the rates LOOK_RATE and ACT_RATE: of a
hundred usual units watched for all their life at most 5 are ever called out to be looked at, at
most 1 to be acted upon. They were checked on 36 kinds of simulated farms, whose usual rate was
learnt from 3 to 49 other units (tests/healing/warn/false_alarms.py).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
from scipy.special import logsumexp, roots_genlaguerre

from api.healing.errors import ShareError
from api.healing.rows import Cause, FloatArray, IntArray, IntervalRows
from api.healing.warn.expected import OthersCurves
from api.healing.warn.hazard import Usual, UsualOfAll, usual
from api.healing.warn.looks import Looks, blocks, looks_of

LOOK_RATIO, ACT_RATIO = 12.0, 150.0
LOOK_RATE, ACT_RATE = 0.05, 0.01
"""The share of usual units that are ever called out, at most."""
TIMES = (2.0, 4.0)
"""How many times the usual rate is worth a warning: each is half of the second reading."""
NODES = 32
Level = Literal["usual", "look", "act"]


class Evidence(NamedTuple):
    """After the look on `day` since the cut: losses, losses to be expected, and the ratio."""

    day: int
    lost: int
    expected: float
    ratio: float


class Trail(NamedTuple):
    """The same of one unit as columns, (looks,)."""

    day: IntArray
    lost: IntArray
    expected: FloatArray
    ratio: FloatArray

    def part(self, begin: int, end: int) -> Trail:
        """Some looks that follow on each other."""
        at = slice(begin, end)
        return Trail(self.day[at], self.lost[at], self.expected[at], self.ratio[at])

    def evidence(self) -> list[Evidence]:
        """A look after the other."""
        return [Evidence(*one) for one in zip(*(c.tolist() for c in self), strict=True)]


@dataclass(frozen=True)
class Alarm:
    """One unit, `unit` its name in `cluster`. `since`: the day on which `level` was reached first,
    None while it is usual. What was called out stays so: the rate is that of ever calling."""

    unit: int
    level: Level
    since: int | None
    trail: Trail

    @property
    def evidence(self) -> list[Evidence]:
        """What was known after each look."""
        return self.trail.evidence()


def alarms(rows: IntervalRows, found: OthersCurves | None = None) -> list[Alarm]:
    """Every unit (`cluster`) against the others; TooFewCutsError below two units.

    `found` are `others_curves(rows)`, where they are known already.
    """
    names, unit = np.unique(rows.cluster, return_inverse=True)
    trails = _followed(rows, unit, usual(rows, found))
    return [
        Alarm(name, *_called(trail), trail)
        for name, trail in zip(names.tolist(), trails, strict=True)
    ]


def follow(rows: IntervalRows, others: Usual) -> list[Evidence]:
    """The evidence after each look at one unit, in order; none for a unit not looked at yet.

    ShareError where `others.hazard` ends before the last look.
    """
    if rows.right.max(initial=0) >= others.hazard.size:
        raise ShareError("The usual rate of loss is not known as far as this unit was watched.")
    alone = np.zeros(rows.cluster.size, np.int64)
    return [
        one for trail in _followed(rows, alone, UsualOfAll.one(others)) for one in trail.evidence()
    ]


def _followed(rows: IntervalRows, unit: IntArray, others: UsualOfAll) -> Iterator[Trail]:
    """Each unit's looks, worked out by blocks of units; `unit` (rows,) are places in `others`."""
    for part, mine in blocks(rows, unit):
        looks, ended = looks_of(part, mine, others)
        ratio = _ratios(part, mine, others, looks, ended)
        all_of = Trail(looks.day, looks.lost.astype(np.int64), looks.expected, ratio)
        for begin, end in pairwise(looks.begins.tolist()):
            # The look on day 0 is the cut itself: nobody has come back yet.
            yield all_of.part(begin + 1, end)


def _ratios(
    rows: IntervalRows, unit: IntArray, others: UsualOfAll, looks: Looks, ended: IntArray
) -> FloatArray:
    """The likelihoods' ratio after each look, (looks,).

    When the hazard is `factor` times as large a piece not lost has come through its exposure A:
    exp(-factor A). A lost one came through the hazard to `left` and not through that to `right`.
    What does not depend on `factor` is left out.
    """
    lost = rows.cause == Cause.LOST
    nodes, weights = factors(others.spread[unit[0] : unit[-1] + 1])
    within = others.at(unit[lost], rows.right[lost]) - others.at(unit[lost], rows.left[lost])
    within = np.maximum(within, 1e-12)[:, None]
    of_row, of_look = unit[lost] - unit[0], looks.unit - unit[0]
    worth = []
    for times in (1.0, *TIMES):
        gone = np.log(-np.expm1(-times * nodes[of_row] * within)) * rows.weight[lost][:, None]
        found = np.zeros((looks.day.size, NODES))
        np.add.at(found, ended[lost], gone)
        given = looks.running(found) - times * nodes[of_look] * looks.through[:, None]
        worth.append(logsumexp(given + weights[of_look], axis=1))
    usual_one, *worse = worth
    return np.asarray(np.mean(np.exp(np.minimum(np.array(worse) - usual_one, 700.0)), axis=0))


def factors(spread: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Nodes and log weights (units, NODES) of gamma distributions with mean 1 and these variances
    (Gauss-Laguerre); a weight too small to be written is no node."""
    each, place = np.unique(spread, return_inverse=True)
    found = [roots_genlaguerre(NODES, 1.0 / one - 1.0) for one in each.tolist()]
    nodes, weights = (np.array(column).reshape(-1, NODES) for column in zip(*found, strict=True))
    share = weights / weights.sum(axis=1, keepdims=True)
    log = np.log(share, out=np.full_like(share, -np.inf), where=share > 0.0)
    return (each[:, None] * nodes)[place], log[place]


def _called(trail: Trail) -> tuple[Level, int | None]:
    levels: tuple[tuple[Level, float], ...] = (("act", ACT_RATIO), ("look", LOOK_RATIO))
    for level, ratio in levels:
        beyond = trail.ratio >= ratio
        if beyond.any():
            return level, int(trail.day[beyond.argmax()])
    return "usual", None
