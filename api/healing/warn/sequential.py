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

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.special import logsumexp, roots_genlaguerre

from api.healing.errors import ShareError
from api.healing.rows import Cause, FloatArray, IntervalRows
from api.healing.warn.expected import by_unit
from api.healing.warn.hazard import Usual, exposure, replayed, usual

LOOK_RATIO, ACT_RATIO = 12.0, 150.0
LOOK_RATE, ACT_RATE = 0.05, 0.01
"""The share of usual units that are ever called out, at most."""
TIMES = (2.0, 4.0)
"""How many times the usual rate is worth a warning: each is half of the second reading."""
NODES = 32
Level = Literal["usual", "look", "act"]


@dataclass(frozen=True)
class Evidence:
    """After the look on `day` since the cut: losses, losses to be expected, and the ratio."""

    day: int
    lost: int
    expected: float
    ratio: float


@dataclass(frozen=True)
class Alarm:
    """One unit, `unit` its name in `cluster`. `since`: the day on which `level` was reached first,
    None while it is usual. What was called out stays so: the rate is that of ever calling."""

    unit: int
    evidence: list[Evidence]
    level: Level
    since: int | None


def alarms(rows: IntervalRows) -> list[Alarm]:
    """Every unit (`cluster`) against the others; TooFewCutsError below two units."""
    found = []
    for places, others in zip(by_unit(rows), usual(rows), strict=True):
        evidence = follow(rows.select(places), others)
        found.append(Alarm(int(rows.cluster[places[0]]), evidence, *_called(evidence)))
    return found


def follow(rows: IntervalRows, others: Usual) -> list[Evidence]:
    """The evidence after each look at one unit, in order; none for a unit not looked at yet.

    ShareError where `others.hazard` ends before the last look.
    """
    days = np.unique(np.concatenate((rows.left, rows.right)))
    if days.size and days[-1] >= others.hazard.size:
        raise ShareError("The usual rate of loss is not known as far as this unit was watched.")
    nodes, weights = _factors(others.spread)
    return [_after(replayed(rows, int(d)), int(d), others, nodes, weights) for d in days if d > 0]


def log_likelihood(rows: IntervalRows, hazard: FloatArray, factor: FloatArray) -> FloatArray:
    """Of the rows' losses when the hazard is `factor` (k,) times as large; shape (k,).

    A piece not lost has come through its exposure A: exp(-factor A). A lost one came through the
    hazard to `left` and not through that to `right`. What does not depend on `factor` is left out.
    """
    lost = rows.cause == Cause.LOST
    through = np.where(lost, hazard[rows.left], exposure(rows, hazard))
    within = np.maximum(hazard[rows.right] - hazard[rows.left], 1e-12)[lost]
    gone = np.log(-np.expm1(-np.outer(factor, within))) @ rows.weight[lost]
    return np.asarray(gone - factor * float(rows.weight @ through), np.float64)


def _factors(spread: float) -> tuple[FloatArray, FloatArray]:
    """Nodes and log weights of a gamma distribution, mean 1, variance `spread` (Gauss-Laguerre)."""
    nodes, weights = roots_genlaguerre(NODES, 1.0 / spread - 1.0)
    keep = weights > 0.0
    return spread * nodes[keep], np.log(weights[keep] / weights[keep].sum())


def _after(
    rows: IntervalRows, day: int, others: Usual, nodes: FloatArray, weights: FloatArray
) -> Evidence:
    first, *worse = (
        float(logsumexp(log_likelihood(rows, others.hazard, times * nodes) + weights))
        for times in (1.0, *TIMES)
    )
    ratio = float(np.mean(np.exp(np.minimum(np.array(worse) - first, 700.0))))
    lost = int(rows.weight[rows.cause == Cause.LOST].sum())
    return Evidence(day, lost, float(rows.weight @ exposure(rows, others.hazard)), ratio)


def _called(evidence: list[Evidence]) -> tuple[Level, int | None]:
    levels: tuple[tuple[Level, float], ...] = (("act", ACT_RATIO), ("look", LOOK_RATIO))
    for level, ratio in levels:
        days = [one.day for one in evidence if one.ratio >= ratio]
        if days:
            return level, days[0]
    return "usual", None
