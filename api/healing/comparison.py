"""GET /api/healing/comparison: groups side by side, with the size of the difference and how sure.

groups -> the largest -> pairs -> weigh -> Holm over all p-values -> verdict -> sentence
"""

import asyncio
from collections.abc import Sequence
from itertools import combinations

from litestar import get
from litestar.di import NamedDependency

from api.access.problems import NotHeld
from api.database import Database
from api.healing.asked import ASKED, Asked
from api.healing.compare.several import holm
from api.healing.comparison_notes import comparison_notes
from api.healing.comparison_shapes import Comparison, Odds, Pair, Verdict
from api.healing.comparison_words import (
    LEVEL,
    Names,
    Sure,
    drawn_sentence,
    none_lost,
    not_settled,
    pair_sentence,
    too_few,
)
from api.healing.errors import HealingError
from api.healing.groups import grouped
from api.healing.odds import Chance
from api.healing.report_notes import TRAITS, report_notes
from api.healing.shapes import Unit
from api.healing.stock import Stock, read_stock
from api.healing.traits import UNKNOWN
from api.healing.weigh import Side, Weighed, sides_of, too_little, weigh
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms

NOT_ONE = frozenset({"arm", "care", "tank"})
"""By these what is not known is no group to compare with: pieces of many tanks, or not drawn."""
MOST_GROUPS = 5
"""Ten pairs: more say less, since each is corrected for all."""


@get("/api/healing/comparison", operation_id="healing_comparison", rule="keeper",
     dependencies=ASKED, responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def comparison_route(
    db: NamedDependency[Database], asked: NamedDependency[Asked]
) -> Comparison:
    """The groups of the report in pairs: differences in days and pieces per hundred."""
    now = now_ms()
    stock = await read_stock(db, now, tanks=True)
    return await asyncio.to_thread(compare, stock, asked, now)


def compare(stock: Stock, asked: Asked, now: int) -> Comparison:
    """Every pair of the largest groups. Pure."""
    found = grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only)
    unit: Unit = "tank" if asked.by == "care" else "cut"
    groups = [
        group for group in found.groups
        if group.seen.size and not (asked.by in NOT_ONE and group.key == UNKNOWN)
    ]  # fmt: skip
    both = list(combinations(sides_of(groups[:MOST_GROUPS]), 2))
    weighed = [_weighed(stock, one, other, asked) for one, other in both]
    sure = _corrected(weighed)
    pairs = [
        _pair(one, other, each, sure.get(at), asked, unit)
        for at, ((one, other), each) in enumerate(zip(both, weighed, strict=True))
    ]
    exact = sum(
        chance.counts is not None for one in weighed if isinstance(one, Weighed)
        for chance in one.chances
    )  # fmt: skip
    notes = comparison_notes(pairs, min(len(groups), MOST_GROUPS), len(groups), unit, exact)
    if not found.groups:
        notes = report_notes(found, [], asked.by, None, asked.only)
    return Comparison(asked.by, asked.endpoint, moment(now), unit, pairs, notes)


def _weighed(stock: Stock, one: Side, other: Side, asked: Asked) -> Weighed | Verdict:
    """A pair's sizes and odds, or why there are none."""
    if too_little(one, other):
        return "too-few"
    try:
        return weigh(stock, one, other, asked.by)
    except HealingError:
        return "not-settled"


def _corrected(weighed: Sequence[Weighed | Verdict]) -> dict[int, Sure]:
    """Holm over every p-value of every pair, ready and lost alike."""
    made = [(at, one) for at, one in enumerate(weighed) if isinstance(one, Weighed)]
    several = holm([chance.p for _, one in made for chance in one.chances]).tolist()
    found = {}
    for n, (at, one) in enumerate(made):
        ready, lost = one.chances
        odds = _odds(ready, several[2 * n]), _odds(lost, several[2 * n + 1])
        found[at] = Sure(*odds, len(several))
    return found


def _odds(chance: Chance, several: float) -> Odds:
    return Odds(chance.p, several, chance.smallest)


def _pair(
    one: Side, other: Side, weighed: Weighed | Verdict, sure: Sure | None, asked: Asked, unit: Unit
) -> Pair:
    names = Names(one.members.name, other.members.name)
    keys = one.members.key, names.one, other.members.key, names.other
    if not isinstance(weighed, Weighed) or sure is None:
        verdict: Verdict = "too-few" if weighed == "too-few" else "not-settled"
        cuts = one.rows.cuts, other.rows.cuts
        words = too_few(names, cuts, unit) if verdict == "too-few" else not_settled(names)
        return Pair(*keys, verdict, None, words, None, None, None, [], [], None, None, [])
    verdict = _verdict(weighed, sure)
    words = pair_sentence(
        names, verdict, weighed.sizes, sure, asked.endpoint, unit, weighed.confounders,
        weighed.within,
    )  # fmt: skip
    words = " ".join((words, *_promises(names, weighed)))
    drawn = None if weighed.within is None else drawn_sentence(weighed.within, asked.endpoint)
    lean = [
        f"They differ in {TRAITS[trait.name]} as well, in part."
        for trait in weighed.traits if trait.verdict == "partly"
    ]  # fmt: skip
    return Pair(
        *keys, verdict, drawn, words, weighed.sizes, weighed.fair, weighed.within,
        weighed.adjusted_for,
        [TRAITS[trait.name] for trait in weighed.traits if trait.verdict == "not"],
        sure.ready, sure.lost, [*weighed.confounders, *lean],
    )  # fmt: skip


def _promises(names: Names, weighed: Weighed) -> list[str]:
    counts = weighed.chances[1].counts
    if counts is None:
        return []
    day = weighed.sizes.at_day
    said = (none_lost(name, count, day) for name, count in zip(names, counts, strict=True))
    return [one for one in said if one is not None]


def _verdict(weighed: Weighed, sure: Sure) -> Verdict:
    if weighed.confounders:
        return "cannot-separate"
    return "differs" if min(sure.ready.several, sure.lost.several) <= LEVEL else "not-told-apart"


routes = [comparison_route]
