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
from api.healing.compare.permute import Permutation
from api.healing.compare.several import holm
from api.healing.comparison_shapes import Comparison, Odds, Pair, Verdict
from api.healing.comparison_words import LEVEL, pair_sentence, too_few, within_sentence
from api.healing.groups import Members, grouped
from api.healing.report_notes import TRAITS, report_notes
from api.healing.shapes import Unit
from api.healing.stock import Stock, read_stock
from api.healing.weigh import Weighed, weigh
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms

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
    groups = [group for group in found.groups if group.seen][:MOST_GROUPS]
    sides = list(combinations(groups, 2))
    weighed = [weigh(stock, one, other, asked.by) for one, other in sides]
    several = _corrected(weighed)
    pairs = [
        _pair(one, other, each, asked, unit, several.get(at))
        for at, ((one, other), each) in enumerate(zip(sides, weighed, strict=True))
    ]
    notes = _notes(pairs, len(groups), sum(1 for group in found.groups if group.seen))
    if not found.groups:
        notes = report_notes(found, [], asked.by, None, asked.only)
    return Comparison(asked.by, asked.endpoint, moment(now), unit, pairs, notes)


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
    if weighed.within is not None:
        words = f"{within_sentence(weighed.within, asked.endpoint)} {words}"
    partly = [TRAITS[t.name] for t in weighed.traits if t.verdict == "partly"]
    lean = [f"They differ in {word} as well, in part." for word in partly]
    return Pair(
        one.key, one.name, other.key, other.name, verdict, words, weighed.sizes, weighed.fair,
        weighed.within, weighed.adjusted_for,
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
