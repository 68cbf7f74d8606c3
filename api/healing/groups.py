"""Pieces put into groups by what they were before anything was decided about their healing."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from api.healing.intervals import Fate, Reason, Watch, days, interval, left_out
from api.healing.only import EVERYTHING, Only
from api.healing.rows import IntervalRows
from api.healing.stock import Stock
from api.healing.traits import BYS, By, Traits, descents, name_of, traits_of
from api.records.fields import Endpoint


class Cluster(NamedTuple):
    """Pieces of one mother cut in one sitting go well or badly together; a 'cut' in the report.

    What is given to tanks acts on all of a tank at once: there the tank is the cluster.
    """

    sitting: str
    mother: str


class Member(NamedTuple):
    """A piece that counts. `age` is today's day since its cut."""

    watch: Watch
    cluster: Cluster
    traits: Traits
    age: int
    piece: str = ""


@dataclass
class Members:
    """One group's pieces, and how many were left out why."""

    key: str
    name: str
    pieces: list[Member] = field(default_factory=list)
    excluded: list[tuple[str, Reason]] = field(default_factory=list)

    @property
    def seen(self) -> list[Member]:
        """The pieces that were looked at at all: each is a row."""
        return [one for one in self.pieces if one.watch.cause is not None]

    def count(self, fate: Fate) -> int:
        """How many pieces met with this fate."""
        return sum(1 for one in self.pieces if one.watch.fate == fate)

    def cuts(self) -> int:
        """From how many cuts the pieces come of which anything was seen."""
        return len({one.cluster for one in self.seen})

    def rows(self) -> IntervalRows:
        """The pieces that were seen, as the arithmetic takes them."""
        seen = self.seen
        number = {cluster: i for i, cluster in enumerate(sorted({one.cluster for one in seen}))}
        return IntervalRows.of(
            [one.watch.left for one in seen],
            [one.watch.right for one in seen],
            [int(one.watch.cause) for one in seen if one.watch.cause is not None],
            [number[one.cluster] for one in seen],
        )


class Grouped(NamedTuple):
    """Groups, the largest first, and how many pieces name a cut that is not known; `values` counts
    the pieces of each (trait, value) before `only` was asked."""

    groups: list[Members]
    cut_unknown: int
    values: Counter[tuple[By, str]]


def grouped(
    stock: Stock, by: By, endpoint: Endpoint, trial: str | None = None, only: Only = EVERYTHING
) -> Grouped:
    """Every glued piece in its group; with `trial` only the pieces of its cuts, with `only` what
    that lets through. A piece whose gluing was taken back is no piece."""
    groups: dict[str, Members] = {}
    found, unknown, values = descents(stock), 0, Counter[tuple[By, str]]()
    for piece, state in stock.pieces.items():
        if state.begun is None or state.begun.kind != "glue":
            continue
        cut = stock.cuts.get(state.cut or "")
        if cut is None:
            unknown += trial is None and only.is_everything
            continue
        if trial not in (None, cut.trial):
            continue
        traits = traits_of(stock, piece, cut, found[piece])
        values.update(zip(BYS, traits, strict=False))
        if not (only.has_day(cut.day) and only.has(traits)):
            continue
        key: str = getattr(traits, by)
        group = groups.setdefault(key, Members(key, name_of(stock, by, key)))
        if (reason := left_out(state, cut.day, cut.retracted)) is not None:
            group.excluded.append((piece, reason))
            continue
        watch = interval(state, cut.day, endpoint)
        unit = Cluster(traits.tank, "") if by == "care" else Cluster(cut.sitting, cut.mother)
        age = days(cut.day, stock.today)
        group.pieces.append(Member(watch, unit, traits, age, piece))
    ordered = sorted(groups.values(), key=lambda group: (-len(group.pieces), group.name, group.key))
    return Grouped(ordered, unknown, values)


def all_in_one(groups: Sequence[Members]) -> Members:
    """Every piece of these groups in one."""
    return Members(
        "all",
        "All pieces",
        [piece for group in groups for piece in group.pieces],
        [left for group in groups for left in group.excluded],
    )
