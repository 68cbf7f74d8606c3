"""Two groups weighed against each other: sizes, odds, and what goes with what. Pure.

rows together -> a day -> compare/contrast   sizes
                       -> compare/permute    odds
                       -> fair               sizes, with all else alike
                       -> compare/within     sizes of arms, as they were drawn
traits -> alike                              what cannot be separated
"""

from dataclasses import dataclass, replace

import numpy as np

from api.healing.alike import Codes, differences, inseparable, traits_compared
from api.healing.compare.confounded import Trait
from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.halves import DayContrast
from api.healing.compare.permute import Permutation, permutation_test
from api.healing.compare.shares import ShareContrast
from api.healing.compare.within import Measure, within
from api.healing.comparison_shapes import Diff, Sizes
from api.healing.errors import HealingError, TooFewCutsError
from api.healing.estimate import CUTS_FOR_INTERVAL, how_much, last_drawn, stop_day
from api.healing.fair import adjusted
from api.healing.groups import Cluster, Members
from api.healing.incidence import fit_incidence
from api.healing.rows import Cause, IntArray, IntervalRows
from api.healing.stock import Stock
from api.healing.traits import By

MEASURES: tuple[Measure, ...] = ("days", "ready", "lost")


@dataclass(frozen=True)
class Weighed:
    """A pair before all p-values are known."""

    sizes: Sizes
    tests: tuple[Permutation, Permutation]
    traits: list[Trait]
    confounders: list[str]
    fair: Sizes | None
    adjusted_for: list[str]
    within: Sizes | None


def weigh(stock: Stock, one: Members, other: Members, by: By) -> Weighed | None:
    """A pair's sizes and odds; None where too little was seen for either."""
    if any(how_much(side.count("ready"), side.cuts()) != "full" for side in (one, other)):
        return None
    rows = rows_together(one, other)
    first_end, other_end = (last_drawn(side, stop_day(side)) for side in rows)
    ends = first_end, other_end
    day = _day(rows, ends)
    try:
        found = contrast(*rows, day, ends=ends)
        tests = _tests(rows)
    except HealingError:
        return None
    codes = Codes(traits_compared(by))
    traits = differences(one, other, (rows[0].cluster, rows[1].cluster), codes)
    confounders = inseparable(stock, one, other, traits, codes)
    fair, adjusted_for = adjusted((one, other), rows, by, day, traits)
    drawn = paired(rows, day) if by == "arm" else None
    return Weighed(_sizes(found), tests, traits, confounders, fair, adjusted_for, drawn)


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


def rows_together(one: Members, other: Members) -> tuple[IntervalRows, IntervalRows]:
    """Both groups' rows, a cut with pieces in both bearing one number."""
    clusters = sorted({piece.cluster for side in (one, other) for piece in side.seen})
    number = {cluster: at for at, cluster in enumerate(clusters)}
    return _rows(one, number), _rows(other, number)


def _rows(members: Members, number: dict[Cluster, int]) -> IntervalRows:
    cluster: IntArray = np.array([number[one.cluster] for one in members.seen], np.int64)
    return replace(members.rows(), cluster=cluster)


def _tests(rows: tuple[IntervalRows, IntervalRows]) -> tuple[Permutation, Permutation]:
    """For ready Wilcoxon's scores, which see that one group is slower though it gets as far, where
    Sun's see little (power .61 against .33 in simulation); for lost Sun's. Chosen beforehand."""
    until = watched_until(rows)
    return (
        permutation_test(*rows, Cause.READY, "wilcoxon", until=until),
        permutation_test(*rows, Cause.LOST, "sun", until=until),
    )


def watched_until(rows: tuple[IntervalRows, IntervalRows]) -> tuple[IntArray, IntArray]:
    """The last day on which anybody looked at a piece's cut, by row: so long a piece that was lost,
    or ready, would have been watched had it gone on."""
    last = IntervalRows.joined(*rows).last_seen()
    of_first = rows[0].left.size
    return last[:of_first], last[of_first:]


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
