"""The share lost by one day, the same for all groups, so that groups can be compared.

The horizon is the longest of HORIZONS that at least half of the pieces seen have passed: long
enough to take in most losses, short enough that most of the farm is in it. A fixed one would say
nothing on a young farm and waste what an old one knows. A cut has passed it once it is as old and
somebody has been there since, or nothing is open in it any more. Asking this of cuts and not of
pieces matters: a lost piece's fate is known early, a living one's only at the next round.
"""

import numpy as np

from api.healing.bands import replicates_of
from api.healing.errors import NotSettledError
from api.healing.estimate import CUTS_FOR_INTERVAL
from api.healing.groups import Members, Table
from api.healing.incidence import Incidence, fit_incidence
from api.healing.intervals import HEALING, LOST, READY, Watches
from api.healing.loss_share import share_lost
from api.healing.proportions import ClusterCounts
from api.healing.resample import Replicates
from api.healing.rows import BoolArray, IntArray, distinct
from api.healing.shapes import LossByDay, LossShare

HORIZONS = (30, 60, 90, 120, 180)


def horizon_of(whole: Members) -> int | None:
    """The day by which losses are counted; None while fewer than half of all pieces seen have
    passed the first."""
    seen, last = whole.seen, whole.table.last_looks()
    for horizon in reversed(HORIZONS):
        passed = int(np.count_nonzero(_ripe(whole.table, last, horizon)[seen.at]))
        if seen.size and 2 * passed >= seen.size:
            return horizon
    return None


def ripe(table: Table, horizon: int) -> BoolArray:
    """Which pieces are of cuts that have passed the horizon, (pieces of the table,)."""
    return _ripe(table, table.last_looks(), horizon)


def _ripe(table: Table, last: IntArray, horizon: int) -> BoolArray:
    """The same; `last`, (cuts,), are the table's last looks."""
    is_open = np.zeros(len(table.cuts), bool)
    waits = (table.reason < 0) & (table.watch.fate == HEALING) & (table.watch.right < horizon)
    is_open[table.cut[waits]] = True
    over = (last >= horizon) | ~is_open
    return np.asarray((table.age >= horizon) & over[table.cut])


def loss_by(
    members: Members, estimate: tuple[Incidence, Replicates], horizon: int, counted: BoolArray
) -> LossByDay | None:
    """A group's share lost by day `horizon`; None below four cuts that were watched as far.

    `estimate` is of its rows; `counted` is `ripe` of its table on that day, the same for all.
    """
    watch = members.watch
    passed = counted[members.at] & _known(watch, horizon)
    if distinct(members.cluster[passed]) < CUTS_FOR_INTERVAL:
        return None
    missing = int(np.count_nonzero(watch.missing & (watch.left < horizon)))
    without = _without_missing(members, horizon) if missing else None
    return LossByDay(*share_lost(*estimate, horizon), horizon, missing, without)


def _without_missing(members: Members, horizon: int) -> LossShare | None:
    """The same with missing pieces withdrawn; None where what is left is of too few cuts, was not
    watched as far, or does not settle."""
    rows = members.rows(missing_lost=False)
    if rows.cuts < CUTS_FOR_INTERVAL:
        return None
    try:
        fit = fit_incidence(rows)
        if fit.tail_mass > 0.0 and horizon > fit.lost.tail_from:
            return None
        return LossShare(*share_lost(fit, replicates_of(rows, fit), horizon))
    except NotSettledError:
        return None


def counts_at(members: Members, horizon: int) -> ClusterCounts:
    """Lost and known pieces of each cut watched to the horizon; the missing count as lost.

    A piece is lost that was found so by the first look on or after the horizon, and not before it
    was ready; whatever came later. It is not known of one that nobody has seen since.
    """
    watch = members.watch
    known = ripe(members.table, horizon)[members.at] & _known(watch, horizon)
    of = np.bincount(members.cluster[known])
    gone = known & (watch.fate == LOST) & (watch.left < horizon)
    lost = np.bincount(members.cluster[gone], minlength=of.size)
    return ClusterCounts.of(lost[of > 0], of[of > 0])


def _known(watch: Watches, horizon: int) -> BoolArray:
    """Of which pieces it is known what was by the horizon."""
    gone = (watch.fate == LOST) & (watch.left < horizon)
    return np.asarray((watch.fate == READY) | gone | (watch.right >= horizon))
