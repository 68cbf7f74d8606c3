"""How unlike pieces of one mother are on this farm, out of what the healing report reads. Pure.

Shares lost by day 180 and their intraclass correlation: the ratio estimator's design effect
(Rao & Scott 1992), which is 1 + (m - 1) r where m = sum n^2 / sum n (Kish 1965, Survey Sampling,
section 5.4, from memory). Days until ready: the one-way analysis of variance of cuts
(Snedecor & Cochran 1989, section 13.3, from memory). A cut enters only once it is as old as the day
by which nine tenths of those that ever become ready have, by the joint curve: younger ones would
show their fast pieces alone. All methods and species are put together, since what differs between
mothers cancels; for whole parts it does not, and that makes the count a careful one.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from api.healing.estimate import CUTS_FOR_INTERVAL, READY_FOR_INTERVAL
from api.healing.groups import Members
from api.healing.incidence import fit_incidence
from api.healing.intervals import READY
from api.healing.loss import counts_at
from api.healing.proportions import design_effect
from api.planning.trial_size import Spread

LOST_BY = 180
"""The day by which the endpoint 'lost' is counted."""
PIECES_FOR_SHARE = 30
"""Fewer say too little of a share."""
MOST_OPEN = 0.10
"""Where more than this of the curve is still open, the days seen are the fast ones'."""
ENDED = 0.9


class SeenShare(NamedTuple):
    """Lost by day LOST_BY; `icc` within cuts, at least 0."""

    share: float
    icc: float
    cuts: int
    pieces: int


class SeenDays(NamedTuple):
    """Days until ready; `ready` is the share of all pieces that get there."""

    spread: Spread
    ready: float
    cuts: int
    pieces: int


def pieces_a_cut(members: Members, arms: int) -> float | None:
    """The harmonic mean, since variances go with 1 / pieces, over cuts with a piece for every arm;
    None below four such cuts."""
    counts = np.unique(members.cluster, return_counts=True)[1]
    enough = counts[counts >= arms]
    if enough.size < CUTS_FOR_INTERVAL:
        return None
    return float(enough.size / (1.0 / enough).sum())


def seen_share(members: Members) -> SeenShare | None:
    """The share lost by day 180; None below four cuts or thirty pieces that were watched so far."""
    counts = counts_at(members, LOST_BY)
    cuts, pieces = counts.pieces.size, float(counts.pieces.sum())
    if cuts < CUTS_FOR_INTERVAL or pieces < PIECES_FOR_SHARE:
        return None
    size = float((counts.pieces**2).sum()) / pieces
    icc = (design_effect(counts) - 1.0) / (size - 1.0) if size > 1.0 else 0.0
    share = float(counts.events.sum()) / pieces
    return SeenShare(share, min(1.0, max(0.0, icc)), cuts, int(pieces))


def seen_days(members: Members) -> SeenDays | None:
    """The spread of days until ready; None where too little was seen, or too much is open."""
    if members.count("ready") < READY_FOR_INTERVAL or members.cuts() < CUTS_FOR_INTERVAL:
        return None
    fit = fit_incidence(members.rows())
    ready = float(fit.ready.mass.sum())
    ended = fit.ready.quantile(ENDED * ready)
    if fit.tail_mass > MOST_OPEN or ended is None:
        return None
    days = _ready_days(members, ended[1])
    spread = variances([found for found in days if len(found) > 1])
    if spread is None:
        return None
    return SeenDays(spread, ready, len(days), sum(map(len, days)))


def variances(cuts: Sequence[Sequence[float]]) -> Spread | None:
    """The variance within cuts and that between them; None below four cuts or ten differences."""
    counts = np.array([len(cut) for cut in cuts])
    free = int(counts.sum()) - len(cuts)
    if len(cuts) < CUTS_FOR_INTERVAL or free < READY_FOR_INTERVAL:
        return None
    means = np.array([np.mean(cut) for cut in cuts])
    within = sum(float(((np.array(cut) - np.mean(cut)) ** 2).sum()) for cut in cuts) / free
    overall = float((counts * means).sum()) / counts.sum()
    mean_square = float((counts * (means - overall) ** 2).sum()) / (len(cuts) - 1)
    usual = (counts.sum() - float((counts**2).sum()) / counts.sum()) / (len(cuts) - 1)
    return Spread(within, max(0.0, (mean_square - within) / float(usual)))


def _ready_days(members: Members, least_age: int) -> list[list[float]]:
    """The days on which pieces were found ready, by cut: what a trial's own looks would show."""
    found = (members.age >= least_age) & (members.watch.fate == READY)
    cuts, code = np.unique(members.cluster[found], return_inverse=True)
    days = members.watch.right[found].astype(np.float64)
    return [days[code == cut].tolist() for cut in range(cuts.size)]
