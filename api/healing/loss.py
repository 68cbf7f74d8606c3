"""The share lost by one day, the same for all groups, so that groups can be compared.

The horizon is the longest of HORIZONS that at least half of the pieces seen have passed: long
enough to take in most losses, short enough that most of the farm is in it. A fixed one would say
nothing on a young farm and waste what an old one knows. A cut has passed it once it is as old and
somebody has been there since, or nothing is open in it any more. Asking this of cuts and not of
pieces matters: a lost piece's fate is known early, a living one's only at the next round.
"""

from collections.abc import Sequence

import numpy as np

from api.healing.bands import replicates_of
from api.healing.estimate import CUTS_FOR_INTERVAL
from api.healing.groups import Members
from api.healing.incidence import Incidence, fit_incidence
from api.healing.intervals import HEALING, LOST, READY
from api.healing.loss_share import share_lost
from api.healing.proportions import ClusterCounts
from api.healing.resample import Replicates
from api.healing.shapes import LossByDay, LossShare

HORIZONS = (30, 60, 90, 120, 180)


def horizon_of(groups: Sequence[Members]) -> int | None:
    """The day by which losses are counted; None while fewer than half have passed the first."""
    seen = sum(group.seen.size for group in groups)
    for horizon in reversed(HORIZONS):
        passed = sum(found.size for found in _passed(groups, horizon))
        if seen and 2 * passed >= seen:
            return horizon
    return None


def loss_by(members: Members, fit: Incidence, again: Replicates, horizon: int) -> LossByDay | None:
    """A group's share lost by day `horizon`; None below four cuts that were watched as far.
    `fit` and `again` are of its rows."""
    if counts_at(members, horizon).pieces.size < CUTS_FOR_INTERVAL:
        return None
    watch = members.watch
    missing = int(np.count_nonzero(watch.missing & (watch.left < horizon)))
    without = _without_missing(members, horizon) if missing else None
    return LossByDay(*share_lost(fit, again, horizon), horizon, missing, without)


def _without_missing(members: Members, horizon: int) -> LossShare | None:
    """The same with missing pieces withdrawn; None where then nobody watched as far."""
    rows = members.rows(missing_lost=False)
    fit = fit_incidence(rows)
    if fit.tail_mass > 0.0 and horizon > fit.lost.tail_from:
        return None
    return LossShare(*share_lost(fit, replicates_of(rows, fit), horizon))


def counts_at(members: Members, horizon: int) -> ClusterCounts:
    """Lost and known pieces of each cut watched to the horizon; the missing count as lost.

    A piece is lost that was found so by the first look on or after the horizon, and not before it
    was ready; whatever came later. It is not known of one that nobody has seen since.
    """
    [passed] = _passed([members], horizon)
    watch = passed.watch
    by_then = (watch.fate == LOST) & (watch.left < horizon)
    known = (watch.fate == READY) | by_then | (watch.right >= horizon)
    of = np.bincount(passed.cluster[known])
    lost = np.bincount(passed.cluster[by_then], minlength=of.size)
    return ClusterCounts.of(lost[of > 0], of[of > 0])


def _passed(groups: Sequence[Members], horizon: int) -> list[Members]:
    """Each group's pieces whose cut has been watched past the horizon."""
    if not groups:
        return []
    table = groups[0].table
    is_open = np.zeros(len(table.cuts), bool)
    waits = (table.reason < 0) & (table.watch.fate == HEALING) & (table.watch.right < horizon)
    is_open[table.cut[waits]] = True
    over = (table.last_looks() >= horizon) | ~is_open
    return [one.select((one.age >= horizon) & over[table.cut[one.at]])
            for one in (group.seen for group in groups)]  # fmt: skip
