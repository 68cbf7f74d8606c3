"""Pieces put into groups, with what each was before anything was decided about its healing.

A group is made only by what was fixed on the day of the cut: the method, the blade, the base and
the purpose at gluing, the species, the arm of a trial that was drawn for it. Pieces are never put
together by how they did.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from api.healing.intervals import Fate, Reason, Watch, days, interval, left_out
from api.healing.rows import IntervalRows
from api.healing.stock import CutFacts, Stock
from api.records.fields import Endpoint
from api.stock.lineage import Kinship, descent, kin_of
from api.stock.lists import Facility

By = Literal["method", "base", "species", "purpose", "blade", "arm"]
"""'arm': within one trial, as it was drawn, whatever was then done (intention to treat)."""

UNKNOWN = "unknown"
SIZE_STEP_MM = 10
"""Starting sizes closer than this are called the same when groups are compared."""

_WORDS = {
    "sale": "For sale", "hold": "Held back", "none": "No mouth kept",
    "part": "Part of a mouth kept", "whole": "A whole mouth kept",
}  # fmt: skip
_NOTHING: dict[By, str] = {
    "method": "Method not recorded",
    "base": "Base not recorded",
    "species": "Species not known",
    "purpose": "Purpose not recorded",
    "blade": "Blade not recorded",
    "arm": "Not drawn",
}


class Traits(NamedTuple):
    """What a piece was on day 0; UNKNOWN where it was not recorded."""

    method: str
    base: str
    species: str
    purpose: str
    blade: str
    mother: str
    size: str
    start: str
    arm: str


class Cluster(NamedTuple):
    """Pieces of one mother cut in one sitting go well or badly together; a 'cut' in the report."""

    sitting: str
    mother: str


class Member(NamedTuple):
    """A piece that counts. `age` is today's day since its cut."""

    watch: Watch
    cluster: Cluster
    traits: Traits
    age: int


@dataclass
class Members:
    """One group's pieces, and how many were left out why."""

    key: str
    name: str
    pieces: list[Member] = field(default_factory=list)
    excluded: Counter[Reason] = field(default_factory=Counter)

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
    """Groups, the largest first, and how many pieces name a cut that is not known."""

    groups: list[Members]
    cut_unknown: int


def grouped(stock: Stock, by: By, endpoint: Endpoint, trial: str | None = None) -> Grouped:
    """Every glued piece in its group; with `trial` only the pieces of its cuts. A piece whose
    gluing was taken back is no piece."""
    groups: dict[str, Members] = {}
    species, unknown = _species(stock), 0
    for piece, state in stock.pieces.items():
        if state.begun is None or state.begun.kind != "glue":
            continue
        cut = stock.cuts.get(state.cut or "")
        if cut is None:
            unknown += trial is None
            continue
        if trial not in (None, cut.trial):
            continue
        traits = _traits(stock, piece, cut, species[piece])
        key: str = getattr(traits, by)
        group = groups.setdefault(key, Members(key, name_of(stock, by, key)))
        if (reason := left_out(state, cut.day, cut.retracted)) is not None:
            group.excluded[reason] += 1
            continue
        watch = interval(state, cut.day, endpoint)
        cluster = Cluster(cut.sitting, cut.mother)
        group.pieces.append(Member(watch, cluster, traits, days(cut.day, stock.today)))
    ordered = sorted(groups.values(), key=lambda group: (-len(group.pieces), group.name, group.key))
    return Grouped(ordered, unknown)


def name_of(stock: Stock, by: By, key: str) -> str:
    """A group's name as the facility calls it; the entry's key where it has no name."""
    if key == UNKNOWN:
        return _NOTHING[by]
    name = stock.items.get(key, {}).get("name")
    return name if isinstance(name, str) and name else _WORDS.get(key, key)


def _species(stock: Stock) -> dict[str, str]:
    """Species by piece. The cut number, which the settings decide, is not asked for here."""
    kin = {piece: kin_of(state) for piece, state in stock.pieces.items()}
    kinship = Kinship(kin, {key: cut.mother for key, cut in stock.cuts.items()})
    by_mother: dict[str, list[str]] = defaultdict(list)
    found: dict[str, str] = {}
    for piece, one in kin.items():
        mother = kinship.mothers.get(one.cut or "")
        by_mother[mother if mother is not None and mother != piece else piece].append(piece)
    for mother, pieces in by_mother.items():
        # What a mother is, her pieces are: one walk for all of them.
        species = descent(mother, kinship, Facility()).species or UNKNOWN
        found |= dict.fromkeys(pieces, species)
    return found


def _traits(stock: Stock, piece: str, cut: CutFacts, species: str) -> Traits:
    state, glued = stock.pieces[piece], stock.glued[piece]
    size = None if state.size_mm is None else round(state.size_mm / SIZE_STEP_MM) * SIZE_STEP_MM
    return Traits(
        cut.method,
        glued.base or UNKNOWN,
        species,
        glued.purpose or UNKNOWN,
        cut.blade or UNKNOWN,
        cut.mother,
        UNKNOWN if size is None else str(size),
        UNKNOWN if state.start is None else str(state.start),
        state.arm or UNKNOWN,
    )
