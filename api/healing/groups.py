"""Pieces put into groups by what they were before anything was decided about their healing.

stock -> cuts, traits -> only -> intervals -> Table, a row a piece
Table -> by one trait -> Members, each a view of some of its rows
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from api.healing.facts import Facts
from api.healing.intervals import CAUSES, FATES, NEVER, Fate, Watches, intervals, left_out
from api.healing.only import EVERYTHING, Only
from api.healing.rows import BoolArray, IntArray, IntervalRows, distinct
from api.healing.stock import CutFacts, Stock
from api.healing.traits import BYS, By, Traits, name_of, traits_of
from api.records.fields import Endpoint
from api.stock.facts import ordinal


class Table(NamedTuple):
    """Every piece that is asked about, in order of its id; columns are (pieces,).

    place         in the stock's columns
    cut           in `cuts`
    watch, traits what was seen, and what it was
    found_dead    what was seen, with the missing withdrawn; `watch` itself where none is missing
    reason        why it is left out, -1 where it counts
    cluster       in `clusters`: the pieces of one mother cut in one sitting, which go well or badly
                  together, a 'cut' in the report; where care is compared the pieces of one tank,
                  since what is given to tanks acts on all of a tank at once
    age           today's day since the cut
    """

    place: IntArray
    cut: IntArray
    cuts: list[CutFacts]
    watch: Watches
    found_dead: Watches
    traits: Traits
    reason: IntArray
    cluster: IntArray
    clusters: list[str]
    sitting: IntArray
    age: IntArray

    def last_looks(self) -> IntArray:
        """The last day, since it was made, on which anybody looked at each cut, (cuts,)."""
        found = np.zeros(len(self.cuts), np.int64)
        counts = self.reason < 0
        np.maximum.at(found, self.cut[counts], self.watch.right[counts])
        return found


@dataclass(frozen=True)
class Members:
    """One group: the rows `at` of a table that count, and those left `out`."""

    key: str
    name: str
    table: Table
    at: IntArray
    out: IntArray

    @property
    def size(self) -> int:
        """How many pieces count."""
        return int(self.at.size)

    @cached_property
    def watch(self) -> Watches:
        """What was seen of each piece that counts."""
        return self.table.watch.select(self.at)

    @cached_property
    def seen(self) -> Members:
        """The pieces that were looked at at all: each is a row of the arithmetic."""
        return self.select(self.watch.fate != NEVER)

    def select(self, keep: BoolArray | IntArray) -> Members:
        """Those that count where `keep` is true, or in the places `keep`; none is left out."""
        return replace(self, at=self.at[keep], out=self.out[:0])

    def joined(self, other: Members) -> Members:
        """Those that count here, then those that count in `other`, of the same table."""
        return replace(self, at=np.concatenate([self.at, other.at]), out=self.out[:0])

    @property
    def cluster(self) -> IntArray:
        """Each piece's cut, in the table's numbers, which all groups share."""
        return self.table.cluster[self.at]

    @property
    def age(self) -> IntArray:
        """Today's day since each piece's cut."""
        return self.table.age[self.at]

    def codes(self, trait: str) -> IntArray:
        """Each piece's value of a trait, as a place in `values`."""
        return self.table.traits.codes[trait][self.at]

    def values(self, trait: str) -> list[str]:
        """What the codes of a trait stand for."""
        return self.table.traits.values[trait]

    def count(self, fate: Fate) -> int:
        """How many pieces met with this fate."""
        return int(np.count_nonzero(self.watch.fate == FATES.index(fate)))

    def cuts(self) -> int:
        """From how many cuts the pieces come of which anything was seen."""
        return distinct(self.seen.cluster)

    def rows(self, *, missing_lost: bool = True) -> IntervalRows:
        """The pieces that were seen, as the arithmetic takes them."""
        if missing_lost:
            watch, cluster = self.seen.watch, self.seen.cluster
        else:
            watch = self.table.found_dead.select(self.at)
            looked = watch.fate != NEVER
            watch, cluster = watch.select(looked), self.cluster[looked]
        return IntervalRows.of(watch.left, watch.right, CAUSES[watch.fate], cluster)


class Grouped(NamedTuple):
    """Groups, the largest first; all their pieces in one; and how many pieces name a cut that is
    not known. `values` counts the pieces of each (trait, value) before `only` was asked."""

    groups: list[Members]
    all: Members
    cut_unknown: int
    values: Counter[tuple[By, str]]


def grouped(
    stock: Stock, by: By, endpoint: Endpoint, trial: str | None = None, only: Only = EVERYTHING
) -> Grouped:
    """Every glued piece in its group; with `trial` only the pieces of its cuts, with `only` what
    that lets through. A piece whose gluing was taken back is no piece."""
    cuts, cut = _cuts(stock)
    unknown = int(np.count_nonzero(cut < 0)) if trial is None and only.is_everything else 0
    meant = np.array([trial in (None, one.trial) for one in cuts] + [False], bool)
    place = np.flatnonzero(meant[cut])
    facts, cut = stock.facts.select(place), cut[place]
    traits = traits_of(stock, facts, cuts, cut)
    values = Counter({
        (trait, value): int(count)
        for trait in BYS
        for value, count in zip(traits.values[trait], traits.counts(trait), strict=True) if count
    })  # fmt: skip
    if not only.is_everything:
        days = np.array([only.has_day(one.day) for one in cuts], bool)
        keep = np.flatnonzero(days[cut] & only.has(traits)) if cut.size else cut
        facts, cut, place = facts.select(keep), cut[keep], place[keep]
        traits = traits.select(keep)
    table = _table(stock, (facts, cut, place), cuts, traits, by, endpoint)
    return Grouped(
        _by(stock, table, by), _members("all", "All pieces", table, np.arange(place.size)),
        unknown, values,
    )  # fmt: skip


def _members(key: str, name: str, table: Table, at: IntArray) -> Members:
    counts = table.reason[at] < 0
    return Members(key, name, table, at[counts], at[~counts])


def _cuts(stock: Stock) -> tuple[list[CutFacts], IntArray]:
    """Cuts in order of their ids, and each piece's place among them; -1 where none is known."""
    ids = sorted(stock.cuts)
    place = {cut: at for at, cut in enumerate(ids)}
    of_word = np.full(max(stock.words, default=0) + 1, -1, np.int64)
    for number, text in stock.words.items():
        of_word[number] = place.get(text, -1)
    return [stock.cuts[cut] for cut in ids], of_word[stock.facts.cut]


def _table(
    stock: Stock, pieces: tuple[Facts, IntArray, IntArray], cuts: list[CutFacts], traits: Traits,
    by: By, endpoint: Endpoint,
) -> Table:  # fmt: skip
    facts, cut, place = pieces
    day = np.array([ordinal(one.day) for one in cuts], np.int64)[cut]
    retracted = np.array([one.retracted for one in cuts], bool)[cut]
    sittings = {sitting: at for at, sitting in enumerate(sorted({one.sitting for one in cuts}))}
    sitting = np.array([sittings[one.sitting] for one in cuts], np.int64)
    names = [f"{one.sitting}/{one.mother}" for one in cuts]
    clusters = sorted(set(names))
    number = {name: at for at, name in enumerate(clusters)}
    cluster = np.array([number[name] for name in names], np.int64)[cut]
    if by == "care":
        cluster, clusters = traits.codes["tank"], traits.values["tank"]
    watch = found_dead = intervals(facts, day, endpoint)
    if watch.missing.any():
        found_dead = intervals(facts, day, endpoint, missing_lost=False)
    return Table(
        place, cut, cuts, watch, found_dead, traits,
        left_out(facts, day, retracted), cluster, clusters, sitting[cut],
        ordinal(stock.today) - day,
    )  # fmt: skip


def _by(stock: Stock, table: Table, by: By) -> list[Members]:
    """The table's rows by a trait, the largest group first."""
    codes, values = table.traits.codes[by], table.traits.values[by]
    order = np.argsort(codes, kind="stable")
    ends = np.cumsum(np.bincount(codes, minlength=len(values)))
    parts = zip(values, np.split(order, ends[:-1]) if len(values) else [], strict=True)
    groups = [
        _members(value, name_of(stock, by, value), table, at) for value, at in parts if at.size
    ]  # fmt: skip
    return sorted(groups, key=lambda group: (-group.size, group.name, group.key))
