"""GET /api/healing/comparison: groups side by side, with the size of the difference and how sure.

groups -> the largest -> pairs -> sizes (compare/contrast), odds (compare/permute),
what goes with what (alike) -> Holm over all p-values -> verdict -> sentence
"""

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from litestar import get
from litestar.di import NamedDependency

from api.access.problems import NotHeld
from api.database import Database
from api.healing.alike import Codes, differences, inseparable, traits_compared
from api.healing.asked import (
    Asked,
    ByParameter,
    EndpointParameter,
    OnlyParameter,
    SinceParameter,
    TrialParameter,
    UntilParameter,
    read_asked,
)
from api.healing.compare.confounded import Trait
from api.healing.compare.contrast import Contrast, contrast
from api.healing.compare.halves import DayContrast
from api.healing.compare.permute import Permutation, permutation_test
from api.healing.compare.several import holm
from api.healing.compare.shares import ShareContrast
from api.healing.comparison_shapes import Comparison, Diff, Odds, Pair, Sizes, Verdict
from api.healing.comparison_words import LEVEL, pair_sentence, too_few
from api.healing.errors import HealingError
from api.healing.estimate import how_much, stop_day
from api.healing.fair import adjusted
from api.healing.groups import Cluster, Members, grouped
from api.healing.incidence import fit_incidence
from api.healing.report_notes import TRAITS, report_notes
from api.healing.rows import Cause, IntArray, IntervalRows
from api.healing.shapes import Unit
from api.healing.stock import Stock, read_stock
from api.healing.traits import By
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms

MOST_GROUPS = 5
"""Ten pairs: more say less, since each is corrected for all."""


@dataclass(frozen=True)
class Weighed:
    """A pair before all p-values are known."""

    one: Members
    other: Members
    sizes: Sizes
    tests: tuple[Permutation, Permutation]
    traits: list[Trait]
    confounders: list[str]
    fair: Sizes | None
    adjusted_for: list[str]


@get("/api/healing/comparison", operation_id="healing_comparison", rule="keeper",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def comparison_route(
    db: NamedDependency[Database],
    by: ByParameter = "method",
    endpoint: EndpointParameter = "sale",
    trial: TrialParameter = None,
    since: SinceParameter = None,
    until: UntilParameter = None,
    only: OnlyParameter = None,
) -> Comparison:
    """The groups of the report in pairs: differences in days and pieces per hundred."""
    asked = read_asked(by, endpoint, trial, since, until, only)
    now = now_ms()
    stock = await read_stock(db, now, tanks=True)
    return await asyncio.to_thread(compare, stock, asked, now)


def compare(stock: Stock, asked: Asked, now: int) -> Comparison:
    """Every pair of the largest groups. Pure."""
    found = grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only)
    unit: Unit = "tank" if asked.by == "care" else "cut"
    groups = [group for group in found.groups if group.seen][:MOST_GROUPS]
    weighed = [weigh(stock, one, other, asked.by) for one, other in combinations(groups, 2)]
    several = _corrected(weighed)
    pairs = [
        _pair(one, other, each, asked, unit, several.get(at))
        for at, ((one, other), each) in enumerate(
            zip(combinations(groups, 2), weighed, strict=True)
        )
    ]
    notes = _notes(pairs, len(groups), sum(1 for group in found.groups if group.seen))
    if not found.groups:
        notes = report_notes(found, [], asked.by, None, asked.only)
    return Comparison(asked.by, asked.endpoint, moment(now), unit, pairs, notes)


def weigh(stock: Stock, one: Members, other: Members, by: By) -> Weighed | None:
    """A pair's sizes and odds; None where too little was seen for either."""
    if any(how_much(side.count("ready"), side.cuts()) != "full" for side in (one, other)):
        return None
    rows = rows_together(one, other)
    ends = _end(rows[0]), _end(rows[1])
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
    return Weighed(
        one, other, _sizes(found), tests, traits, confounders, fair, adjusted_for
    )  # fmt: skip


def rows_together(one: Members, other: Members) -> tuple[IntervalRows, IntervalRows]:
    """Both groups' rows, a cut with pieces in both bearing one number."""
    clusters = sorted({piece.cluster for side in (one, other) for piece in side.seen})
    number = {cluster: at for at, cluster in enumerate(clusters)}
    return _rows(one, number), _rows(other, number)


def _rows(members: Members, number: dict[Cluster, int]) -> IntervalRows:
    rows = members.rows()
    cluster: IntArray = np.array([number[one.cluster] for one in members.seen], np.int64)
    return IntervalRows(rows.left, rows.right, rows.cause, cluster, rows.weight)


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
    last = np.zeros(1 + max(int(side.cluster.max()) for side in rows), np.int64)
    for side in rows:
        np.maximum.at(last, side.cluster, side.right)
    return last[rows[0].cluster], last[rows[1].cluster]


def _end(rows: IntervalRows) -> int:
    """The last day to which a side's curve is drawn."""
    stop = stop_day(rows)
    return int(rows.right.max()) if stop is None else stop - 1


def _day(rows: tuple[IntervalRows, IntervalRows], ends: tuple[int, int]) -> int:
    """Where curves are set side by side: the day half of both groups together are ready, or, where
    a curve ends before it, there. It is chosen without looking at either group alone."""
    half = fit_incidence(_pooled(*rows)).ready.quantile(0.5)
    last = max(1, min(ends))
    return last if half is None else max(1, min(half[1], last))


def _pooled(one: IntervalRows, two: IntervalRows) -> IntervalRows:
    names = ("left", "right", "cause", "cluster", "weight")
    return IntervalRows(*(np.concatenate((getattr(one, n), getattr(two, n))) for n in names))


def _sizes(found: Contrast) -> Sizes:
    return Sizes(found.day, _days(found.half), _share(found.ready), _share(found.lost))


def _days(half: DayContrast | None) -> Diff | None:
    return None if half is None else Diff(half.least, half.most, half.low, half.high)


def _share(share: ShareContrast) -> Diff:
    return Diff(share.least, share.most, share.low, share.high)


def _corrected(weighed: Sequence[Weighed | None]) -> dict[int, tuple[Odds, Odds]]:
    """Holm over every p-value of every pair, ready and lost alike."""
    made = [(at, one) for at, one in enumerate(weighed) if one is not None]
    several = holm([test.p for _, one in made for test in one.tests]).tolist()
    return {
        at: (_odds(one.tests[0], several[2 * n]), _odds(one.tests[1], several[2 * n + 1]))
        for n, (at, one) in enumerate(made)
    }


def _odds(test: Permutation, several: float) -> Odds:
    return Odds(test.p, several, test.smallest)


def _pair(
    one: Members, other: Members, weighed: Weighed | None, asked: Asked, unit: Unit,
    odds: tuple[Odds, Odds] | None,
) -> Pair:  # fmt: skip
    if weighed is None or odds is None:
        return Pair(
            one.key, one.name, other.key, other.name, "too-few", too_few(one, other, unit),
            None, None, None, [], [], None, None, [],
        )  # fmt: skip
    verdict = _verdict(weighed, odds)
    words = pair_sentence(
        one, other, verdict, weighed.sizes, odds, asked.endpoint, weighed.confounders
    )
    partly = [TRAITS[t.name] for t in weighed.traits if t.verdict == "partly"]
    lean = [f"They differ in {word} as well, in part." for word in partly]
    return Pair(
        one.key, one.name, other.key, other.name, verdict, words, weighed.sizes, weighed.fair,
        None, weighed.adjusted_for,
        [TRAITS[t.name] for t in weighed.traits if t.verdict == "not"], *odds,
        [*weighed.confounders, *lean],
    )  # fmt: skip


def _verdict(weighed: Weighed, odds: tuple[Odds, Odds]) -> Verdict:
    if weighed.confounders:
        return "cannot-separate"
    return "differs" if min(one.several for one in odds) <= LEVEL else "not-told-apart"


def _notes(pairs: Sequence[Pair], compared: int, groups: int) -> list[str]:
    notes = []
    if groups < 2:
        notes.append("There is only one group with pieces that were looked at: nothing to compare.")
    if groups > compared:
        notes.append(f"The {compared} largest of {groups} groups are compared, two at a time.")
    made = sum(1 for pair in pairs if pair.crude is not None)
    if made:
        notes.append(
            f"{2 * made} p-values were worked out, for ready and for lost; each is corrected for "
            "all of them (Holm). Looking again tomorrow is one more look: wait for the next cuts."
        )
    return notes


routes = [comparison_route]
