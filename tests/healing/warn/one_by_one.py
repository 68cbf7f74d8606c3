"""The early warning a second way: unit by unit and look by look, each replayed from its rows.

This is how it was first written; it takes minutes where `sequential` and `funnel` take a second.
"""

from __future__ import annotations

import math

import numpy as np
from scipy.special import logsumexp, roots_genlaguerre
from scipy.stats import betabinom, binom

from api.healing.proportions import ClusterCounts
from api.healing.rows import Cause, FloatArray, IntervalRows
from api.healing.warn.expected import others_curves
from api.healing.warn.funnel import ACT, LOOK, PRIOR, Level, _predicted, _rho
from api.healing.warn.hazard import (
    LEAST_SPREAD,
    MOST_SPREAD,
    SPREAD_STEP,
    USUAL_LOSSES,
    USUAL_SPREAD,
    USUAL_UNITS,
    Usual,
    summed,
)
from api.healing.warn.sequential import NODES, TIMES, Evidence


def usual_of_each(rows: IntervalRows) -> list[Usual]:
    """Each unit's usual hazard, written out, and its spread from the others one by one."""
    names, found_curves = np.unique(rows.cluster), others_curves(rows)
    last = int(rows.right.max())
    hazards, due, lost = [], [], []
    for name, place in zip(names, found_curves.of, strict=True):
        own, rest = rows.select(rows.cluster == name), rows.select(rows.cluster != name)
        watched = max(float(rest.weight @ rest.right), 1.0)
        curve = summed(*found_curves.curves[place], last)
        hazards.append(curve + 0.5 / watched * np.arange(last + 1.0))
        due.append(float(own.weight @ met(own, hazards[-1])))
        lost.append(float(own.weight[own.cause == Cause.LOST].sum()))
    found = []
    prior = USUAL_UNITS * USUAL_LOSSES**2
    for unit, hazard in enumerate(hazards):
        o, e = np.delete(lost, unit), np.delete(due, unit)
        spread = max((((o - e) ** 2 - e).sum() + USUAL_SPREAD * prior) / (e @ e + prior), 0.0)
        unsure = (e.sum() + spread * (e @ e)) / max(e.sum(), 0.5) ** 2
        exact = min(max(spread + unsure, LEAST_SPREAD), MOST_SPREAD)
        found.append(Usual(hazard, math.exp(round(math.log(exact) / SPREAD_STEP) * SPREAD_STEP)))
    return found


def met(rows: IntervalRows, hazard: FloatArray) -> FloatArray:
    """The hazard that one piece of each row has been through."""
    at_left, at_right = hazard[rows.left], hazard[rows.right]
    still = rows.cause == Cause.STILL
    return np.asarray(np.where(still, at_right, (at_left + at_right) / 2.0), np.float64)


def replayed(rows: IntervalRows, day: int) -> IntervalRows:
    """What was known at the end of `day`: later events are unseen, later looks not made."""
    known = (rows.cause != Cause.STILL) & (rows.right <= day)
    left = np.minimum(rows.left, day)
    seen = np.where(rows.cause == Cause.STILL, np.minimum(rows.right, day), left)
    return IntervalRows(
        left, np.where(known, rows.right, seen), np.where(known, rows.cause, Cause.STILL),
        rows.cluster, rows.weight,
    )  # fmt: skip


def evidence_of(rows: IntervalRows, others: Usual) -> list[Evidence]:
    """The evidence after each look at one unit."""
    nodes, weights = roots_genlaguerre(NODES, 1.0 / others.spread - 1.0)
    keep = weights > 0.0
    nodes, log = others.spread * nodes[keep], np.log(weights[keep] / weights[keep].sum())
    found = []
    for day in np.unique(np.concatenate((rows.left, rows.right))).tolist():
        if day:
            now = replayed(rows, day)
            first, *worse = (
                float(logsumexp(_log_likelihood(now, others.hazard, times * nodes) + log))
                for times in (1.0, *TIMES)
            )
            ratio = float(np.mean(np.exp(np.minimum(np.array(worse) - first, 700.0))))
            gone = int(now.weight[now.cause == Cause.LOST].sum())
            due = float(now.weight @ met(now, others.hazard))
            found.append(Evidence(day, gone, due, ratio))
    return found


def _log_likelihood(rows: IntervalRows, hazard: FloatArray, factor: FloatArray) -> FloatArray:
    lost = rows.cause == Cause.LOST
    through = np.where(lost, hazard[rows.left], met(rows, hazard))
    within = np.maximum(hazard[rows.right] - hazard[rows.left], 1e-12)[lost]
    gone = np.log(-np.expm1(-np.outer(factor, within))) @ rows.weight[lost]
    return np.asarray(gone - factor * float(rows.weight @ through), np.float64)


def every_evidence(rows: IntervalRows) -> list[list[Evidence]]:
    """Of each unit in the order of names."""
    return [
        evidence_of(rows.select(rows.cluster == name), others)
        for name, others in zip(np.unique(rows.cluster), usual_of_each(rows), strict=True)
    ]


def oddness_of(
    lost: FloatArray, pieces: FloatArray, expected: FloatArray
) -> list[tuple[float, Level]]:
    """(mid-p, level) of each unit by scipy's distributions, a unit at a time."""
    counts = ClusterCounts.of(lost, pieces)
    means = expected / pieces
    means, rho = _predicted(counts, means, _rho(counts, means, PRIOR))
    found: list[tuple[float, Level]] = []
    for y, n, m, r in zip(lost.astype(int), pieces.astype(int), means, rho, strict=True):
        sum_ab = 1.0 / max(r, 1e-9) - 1.0
        law = betabinom(n, m * sum_ab, (1 - m) * sum_ab) if r > 1e-9 else binom(n, m)
        odd = float(law.sf(y) + law.pmf(y) / 2.0)
        found.append((odd, "act" if odd <= ACT else "look" if odd <= LOOK else "usual"))
    return found
