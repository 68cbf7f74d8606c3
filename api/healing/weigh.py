"""Two groups weighed against each other: sizes, odds, and what goes with what. Pure.

rows together -> a day -> compare/contrast   sizes
                       -> odds               could chance have dealt it so
                       -> fair               sizes, with all else alike
                       -> compare/within     sizes of arms, as they were drawn
traits -> alike                              what cannot be separated
"""

from collections.abc import Sequence
from dataclasses import dataclass

from api.healing.alike import differences, inseparable, traits_compared
from api.healing.compare.confounded import Trait
from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.halves import DayContrast
from api.healing.compare.shares import ShareContrast
from api.healing.compare.within import Measure, within
from api.healing.comparison_shapes import Diff, Sizes
from api.healing.errors import TooFewCutsError
from api.healing.estimate import CUTS_FOR_INTERVAL, how_much, last_drawn, stop_day
from api.healing.fair import adjusted
from api.healing.groups import Members
from api.healing.incidence import fit_incidence
from api.healing.odds import Chance, Watched, chances
from api.healing.rows import IntervalRows
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
    """Groups in which something was seen; a cut with pieces in several bears one number in all."""
    return [
        Side(group, Watched(group.rows(), group.seen.age, until[group.table.cut[group.seen.at]]))
        for group in groups for until in (group.table.last_looks(),)
    ]  # fmt: skip


def too_little(one: Side, other: Side) -> bool:
    """Whether too little was seen of either for a comparison."""
    return any(
        how_much(side.members.count("ready"), side.rows.cuts) != "full" for side in (one, other)
    )


def weigh(stock: Stock, one: Side, other: Side, by: By) -> Weighed:
    """A pair's sizes and odds; HealingError where an estimate cannot be found."""
    rows = one.rows, other.rows
    first_end, other_end = (last_drawn(side, stop_day(side)) for side in rows)
    ends = first_end, other_end
    day = _day(rows, ends)
    found = contrast(*rows, day, ends=ends)
    odds = chances(one.watched, other.watched, day)
    members = one.members, other.members
    traits = differences(*members, traits_compared(by))
    confounders = inseparable(stock, *members, traits)
    fair, adjusted_for = adjusted(members, rows, by, day, traits)
    drawn = paired(rows, day) if by == "arm" else None
    return Weighed(_sizes(found), odds, traits, confounders, fair, adjusted_for, drawn)


def paired(rows: tuple[IntervalRows, IntervalRows], day: int) -> Sizes | None:
    """Arms as they were drawn: the mean of the differences within cuts. None where too few cuts
    have known pieces in both arms.

    days is here the mean day of getting ready among the pieces that did.
    """
    found: list[Diff | None] = []
    for measure in MEASURES:
        try:
            each = within(*rows, measure, day)
        except TooFewCutsError:
            found.append(None)
            continue
        enough = each.cuts >= CUTS_FOR_INTERVAL
        found.append(Diff(each.estimate, each.estimate, each.low, each.high) if enough else None)
    return Sizes(day, *found) if any(found) else None


def _day(rows: tuple[IntervalRows, IntervalRows], ends: tuple[int, int]) -> int:
    """Where curves are set side by side: the day half of both groups together are ready, or, where
    a curve ends before it, there. It is chosen without looking at either group alone."""
    half = fit_incidence(IntervalRows.joined(*rows)).ready.quantile(0.5)
    last = max(1, min(ends))
    return last if half is None else max(1, min(half[1], last))


def _sizes(found: Contrast) -> Sizes:
    return Sizes(found.day, _days(found.half), _share(found.ready), _share(found.lost))


def _days(half: DayContrast | None) -> Diff | None:
    return None if half is None else Diff(half.least, half.most, half.low, half.high)


def _share(share: ShareContrast) -> Diff:
    return Diff(share.least, share.most, share.low, share.high)
