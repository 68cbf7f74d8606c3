"""Two groups weighed against each other: sizes, odds, and what goes with what. Pure.

rows together -> a day -> compare/contrast   sizes
                       -> odds               could chance have dealt it so
                       -> fair               sizes, with all else alike
                       -> compare/within     sizes of arms, as they were drawn
traits -> alike                              what cannot be separated
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from api.healing.alike import differences, inseparable, traits_compared
from api.healing.compare.confounded import Trait
from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.halves import DayContrast
from api.healing.compare.shares import ShareContrast
from api.healing.compare.within import Measure, within
from api.healing.comparison_shapes import Diff, Sizes
from api.healing.errors import TooFewCutsError
from api.healing.estimate import CUTS_FOR_INTERVAL, READY_FOR_INTERVAL, last_drawn, stop_day
from api.healing.fair import adjusted
from api.healing.groups import Members, Table
from api.healing.incidence import fit_incidence
from api.healing.intervals import CAUSES
from api.healing.odds import Chance, Watched, chances
from api.healing.rows import Cause, IntArray, IntervalRows
from api.healing.stock import Stock
from api.healing.traits import By

MEASURES: tuple[Measure, ...] = ("days", "ready", "lost")


@dataclass(frozen=True)
class Side:
    """A group as the arithmetic takes it."""

    members: Members
    watched: Watched

    @property
    def rows(self) -> IntervalRows:
        return self.watched.rows


@dataclass(frozen=True)
class Weighed:
    """A pair before all p-values are known."""

    sizes: Sizes
    chances: tuple[Chance, Chance]
    traits: list[Trait]
    confounders: list[str]
    fair: Sizes | None
    adjusted_for: list[str]
    within: Sizes | None


def sides_of(groups: Sequence[Members]) -> list[Side]:
    """Groups of one table in which something was seen; a cut with pieces in several bears one
    number in all."""
    if not groups:
        return []
    table = groups[0].table
    until = _watched_until(table)[table.cut]
    return [
        Side(group, Watched(group.rows(), group.seen.age, until[group.seen.at])) for group in groups
    ]


def _watched_until(table: Table) -> IntArray:
    """The last day, since it was made, on which anybody looked at each cut, (cuts,); where all of a
    cut came to an end nobody has cause to look at it any more, and it is the farm's last look."""
    until, age = table.last_looks(), np.zeros(len(table.cuts), np.int64)
    age[table.cut] = table.age
    still = (table.reason < 0) & (CAUSES[table.watch.fate] == Cause.STILL)
    ended = (until > 0) & (np.bincount(table.cut[still], minlength=until.size) == 0)
    since = int((age - until)[until > 0].min(initial=np.iinfo(np.int64).max))
    return np.where(ended, age - since, until)


def too_little(one: Side, other: Side) -> bool:
    """Whether there are too few cuts of either for a comparison. Of pieces it takes no number: a
    method that kills all has none ready, and whether chance deals that is for p to say, which with
    few cuts has a least value (4 beside 4 dealt whole: 2 in 70) that no piece brings lower."""
    return min(one.rows.cuts, other.rows.cuts) < CUTS_FOR_INTERVAL


def weigh(stock: Stock, one: Side, other: Side, by: By) -> Weighed:
    """A pair's sizes and odds; HealingError where an estimate cannot be found."""
    rows = one.rows, other.rows
    stops = stop_day(one.rows), stop_day(other.rows)
    day = _day(rows, stops)
    ends = last_drawn(one.rows, stops[0]), last_drawn(other.rows, stops[1])
    found = contrast(*rows, day, ends=ends)
    odds = chances(one.watched, other.watched, day)
    members = one.members, other.members
    traits = differences(*members, traits_compared(by))
    confounders = inseparable(stock, *members, traits)
    timed = min(side.count("ready") for side in members) >= READY_FOR_INTERVAL
    # Where a group has hardly any ready, a model of both has no size to find nor limits to trust.
    fair, adjusted_for = adjusted(members, rows, by, day, traits) if timed else (None, [])
    measures = MEASURES if timed else MEASURES[1:]
    drawn = paired(one.watched, other.watched, day, measures) if by == "arm" else None
    sizes = _sizes(found, timed=timed)
    return Weighed(sizes, odds, traits, confounders, fair, adjusted_for, drawn)


def paired(
    one: Watched, two: Watched, day: int, measures: Sequence[Measure] = MEASURES
) -> Sizes | None:
    """Arms as they were drawn: the mean of the differences within cuts that are `day` days old, for
    in younger ones only losses are known. None where too few have known pieces in both arms.

    days is here the mean day of getting ready among the pieces that did.
    """
    rows = one.rows.select(one.age >= day), two.rows.select(two.age >= day)
    if not all(side.pieces for side in rows):
        return None
    found: dict[Measure, Diff] = {}
    for measure in measures:
        try:
            each = within(*rows, measure, day)
        except TooFewCutsError:
            continue
        if each.cuts >= CUTS_FOR_INTERVAL:
            found[measure] = Diff(each.estimate, each.estimate, each.low, each.high)
    return Sizes(day, *(found.get(measure) for measure in MEASURES)) if found else None


def _day(rows: tuple[IntervalRows, IntervalRows], stops: tuple[int | None, int | None]) -> int:
    """Where curves are set side by side: the day half of both groups together are ready, or, where
    a curve stops before it, there; one in which no piece's fate is open is known for ever. It is
    chosen without looking at either group alone."""
    both = IntervalRows.joined(*rows)
    half = fit_incidence(both).ready.quantile(0.5)
    last = min([stop - 1 for stop in stops if stop is not None] or [int(both.right.max())])
    return max(1, last if half is None else min(half[1], last))


def _sizes(found: Contrast, *, timed: bool) -> Sizes:
    half = _days(found.half) if timed else None
    return Sizes(found.day, half, _share(found.ready), _share(found.lost))


def _days(half: DayContrast | None) -> Diff | None:
    return None if half is None else Diff(half.least, half.most, half.low, half.high)


def _share(share: ShareContrast) -> Diff:
    return Diff(share.least, share.most, share.low, share.high)
