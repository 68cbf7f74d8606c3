"""Pieces of which it is said what was seen, as the arithmetic holds them."""

from typing import NamedTuple

import numpy as np

from api.healing.groups import Members, Table
from api.healing.intervals import CAUSES, FATES, Fate, Watches
from api.healing.rows import Cause
from api.healing.stock import CutFacts
from api.healing.traits import BYS, UNKNOWN, Traits


class Watch(NamedTuple):
    """One piece's part of `Watches`; a gap of None is none."""

    fate: Fate
    left: int = 0
    right: int = 0
    gap: int | None = None
    first: bool = False
    missing: bool = False
    lost_after_ready: bool = False

    @property
    def cause(self) -> Cause | None:
        cause = int(CAUSES[FATES.index(self.fate)])
        return None if cause < 0 else Cause(cause)


def watches_of(found: list[Watch]) -> Watches:
    fate = np.array([FATES.index(one.fate) for one in found], np.int64)
    gap = np.array([-1 if one.gap is None else one.gap for one in found], np.int64)
    left, right = (np.array([getattr(one, side) for one in found], np.int64)
                   for side in ("left", "right"))  # fmt: skip
    first, missing, after = (
        np.array([getattr(one, name) for one in found], bool)
        for name in ("first", "missing", "lost_after_ready")
    )
    return Watches(fate, left, right, gap, first, missing, after)


def each_of(watches: Watches) -> list[Watch]:
    """The other way."""
    return [
        Watch(FATES[fate], left, right, None if gap < 0 else gap, *marks)
        for fate, left, right, gap, *marks in zip(*(c.tolist() for c in watches), strict=True)
    ]


Cuts = list[tuple[int, list[Watch]]]


def groups_of(*groups: tuple[str, Cuts]) -> list[Members]:
    """Groups of cuts, each with its age in days and its pieces; every cut is of its own mother."""
    every = [(key, age, found) for key, cuts in groups for age, found in cuts]
    sizes = [len(found) for _, _, found in every]
    cut = np.repeat(np.arange(len(every)), sizes)
    names = [f"sitting {number:03}/mother" for number in range(len(every))]
    cuts = [
        CutFacts(name, "mother", name, "band", "2026-01-01", False, None, None, None)
        for name in names
    ]
    nothing = np.zeros(cut.size, np.int64)
    traits = Traits({by: nothing for by in (*BYS, "mother")},
                    {by: [UNKNOWN] for by in (*BYS, "mother")})  # fmt: skip
    watches = [one for _, _, found in every for one in found]
    found_dead = [Watch("withdrawn", one.left, one.left) if one.missing else one for one in watches]
    table = Table(
        place=np.arange(cut.size), cut=cut, cuts=cuts, watch=watches_of(watches),
        found_dead=watches_of(found_dead), traits=traits, reason=nothing - 1, cluster=cut,
        clusters=names, sitting=cut, age=np.repeat([age for _, age, _ in every], sizes),
    )  # fmt: skip
    of = np.repeat([key for key, _, _ in every], sizes)
    return [Members(key, key, table, np.flatnonzero(of == key), nothing[:0]) for key, _ in groups]
