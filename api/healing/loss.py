"""The share lost by one day, the same for all groups, so that groups can be compared.

A cut counts once it is `horizon` days old and somebody has been there since, or nothing is open in
it any more. Asking this of cuts and not of pieces matters: a lost piece's fate is known early, a
living one's only at the next round, and counting piece by piece would make losses look frequent.

The horizon is the longest of HORIZONS that at least half of the pieces seen have passed: long
enough to take in most losses, short enough that most of the farm is in it. A fixed one would say
nothing on a young farm and waste what an old one knows.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from api.healing.estimate import CUTS_FOR_INTERVAL
from api.healing.groups import Cluster, Member, Members
from api.healing.intervals import Watch
from api.healing.proportions import ClusterCounts, pooled_design_effect, wilson
from api.healing.shapes import LossByDay, LossShare

HORIZONS = (30, 60, 90, 120, 180)


@dataclass
class _Count:
    """Of the cuts of one group: lost and known pieces by cut, and what is not known."""

    lost: dict[Cluster, int] = field(default_factory=lambda: defaultdict(int))
    known: dict[Cluster, int] = field(default_factory=lambda: defaultdict(int))
    unknown: int = 0

    def counts(self) -> ClusterCounts:
        return ClusterCounts.of([self.lost[cut] for cut in self.known], list(self.known.values()))

    def share(self, deff: float) -> LossShare:
        lost, of = sum(self.lost.values()), sum(self.known.values())
        low, high = wilson(lost, of, deff=deff)
        return LossShare(lost, of, lost / of, low, high)


def horizon_of(groups: Sequence[Members]) -> int | None:
    """The day by which losses are counted; None while fewer than half have passed the first."""
    seen = sum(len(group.seen) for group in groups)
    for horizon in reversed(HORIZONS):
        passed = sum(len(found) for found in _passed(groups, horizon))
        if seen and 2 * passed >= seen:
            return horizon
    return None


def losses(groups: Sequence[Members], horizon: int) -> list[LossByDay | None]:
    """Each group's loss by day `horizon`; None below four cuts that were watched as far."""
    passed = _passed(groups, horizon)
    both = [_count(found, horizon, missing_lost=True) for found in passed]
    found_dead = [_count(found, horizon, missing_lost=False) for found in passed]
    return [
        _loss(one, other, horizon, _deff(both), _deff(found_dead))
        for one, other in zip(both, found_dead, strict=True)
    ]


def counts_at(group: Members, horizon: int) -> ClusterCounts:
    """Lost and known pieces of each cut watched to the horizon; the missing count as lost."""
    [found] = _passed([group], horizon)
    return _count(found, horizon, missing_lost=True).counts()


def _loss(
    one: _Count, other: _Count, horizon: int, deff: float, other_deff: float
) -> LossByDay | None:
    if len(one.known) < CUTS_FOR_INTERVAL:
        return None
    all_lost = one.share(deff)
    missing = all_lost.lost - sum(other.lost.values())
    dead = other.share(other_deff) if missing and len(other.known) >= CUTS_FOR_INTERVAL else None
    return LossByDay(all_lost.lost, all_lost.of, all_lost.share, all_lost.low, all_lost.high,
                horizon, deff, one.unknown, missing, dead)  # fmt: skip


def _deff(counts: Sequence[_Count]) -> float:
    """One design effect for all groups, floored at 1, from those with two cuts or more."""
    known = [one.counts() for one in counts if len(one.known) >= 2]
    return pooled_design_effect(known) if known else 1.0


def _passed(groups: Sequence[Members], horizon: int) -> list[list[Member]]:
    """Each group's pieces whose cut has been watched past the horizon."""
    seen: dict[Cluster, int] = defaultdict(int)
    open_cuts: set[Cluster] = set()
    for one in (one for group in groups for one in group.seen):
        seen[one.cluster] = max(seen[one.cluster], one.watch.right)
        if one.watch.fate == "healing" and one.watch.right < horizon:
            open_cuts.add(one.cluster)
    return [
        [
            one for one in group.seen
            if one.age >= horizon and (seen[one.cluster] >= horizon or one.cluster not in open_cuts)
        ]
        for group in groups
    ]  # fmt: skip


def _count(members: Sequence[Member], horizon: int, *, missing_lost: bool) -> _Count:
    found = _Count()
    for one in members:
        lost = _lost_by(one.watch, horizon, missing_lost)
        if lost is None:
            found.unknown += 1
            continue
        found.known[one.cluster] += 1
        found.lost[one.cluster] += lost
    return found


def _lost_by(watch: Watch, horizon: int, missing_lost: bool) -> bool | None:
    """Whether lost by the first look on or after the horizon; None where nobody knows.

    A piece that became ready was not lost before it was ready, whatever came later.
    """
    if watch.fate == "ready":
        return False
    if watch.fate == "lost" and watch.left < horizon:
        return True if missing_lost or not watch.missing else None
    return False if watch.right >= horizon else None
