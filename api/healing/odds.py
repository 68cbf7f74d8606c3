"""Could chance alone have dealt two groups so: which test a pair gets for ready and for lost.

Where pieces come in cuts, whole cuts are dealt anew (`compare/permute`). Where each piece is a cut
of its own and pieces are few, yet ten a side, counts by a day have an exact test
(`compare/counts`).

Arms of a trial need no test of their own: where a cut has pieces in both, `permute` deals its own
pieces' labels anew within it, which is the draw. Shares counted by a day (`compare/within`) would
leave out every piece whose fate is still open, and the days of ready pieces alone would compare
those that lived.
"""

from typing import NamedTuple

from api.healing.compare.counts import EXACT_UP_TO, Count, alone, barnard, count_by
from api.healing.compare.permute import permutation_test
from api.healing.compare.scores import Kind
from api.healing.rows import Cause, IntArray, IntervalRows

SCORES: tuple[tuple[Cause, Kind], ...] = ((Cause.READY, "wilcoxon"), (Cause.LOST, "sun"))
"""For ready Wilcoxon's scores, which see that one group is slower though it gets as far, where
Sun's see little (power .61 against .33 in simulation); for lost Sun's. Chosen beforehand."""
FEWEST = 10
"""Pieces of a side from which on they are counted. Counts of four beside four could be told apart
(0 beside 4: p .008), though four cuts a side can be dealt in 70 ways only, and the day they are
counted by was chosen by what both did."""
KNOWN = 0.5
"""The share of a side's pieces that must be known by the day for their counts to stand for it."""


class Watched(NamedTuple):
    """A group's rows, and of each, (rows,): `age`, the days from its cut to today; `until`, the
    last of those on which anybody looked at its cut, or, where all of the cut came to an end, at
    any: so long a piece that was lost, or ready, would have been watched had it gone on."""

    rows: IntervalRows
    age: IntArray
    until: IntArray


class Chance(NamedTuple):
    """Two-sided p, and the least that could have come out. `counts` are those of both groups where
    the test is Barnard's, None where it is the permutation of cuts."""

    p: float
    smallest: float
    counts: tuple[Count, Count] | None


def chances(one: Watched, two: Watched, day: int) -> tuple[Chance, Chance]:
    """Of the difference in ready, and in lost; `day` is where an exact test counts. Both groups
    number their cuts alike. ShareError for a group without pieces or a day before 1."""
    both = IntervalRows.joined(one.rows, two.rows)
    exact = both.pieces <= EXACT_UP_TO and alone(both)
    ready, lost = (_chance(one, two, day, *which, exact=exact) for which in SCORES)
    return ready, lost


def _chance(one: Watched, two: Watched, day: int, cause: Cause, kind: Kind, *,
            exact: bool) -> Chance:  # fmt: skip
    if exact:
        first, second = (count_by(side.rows, side.age, cause, day) for side in (one, two))
        if _enough(first, one) and _enough(second, two):
            return Chance(*barnard(first, second), (first, second))
    found = permutation_test(one.rows, two.rows, cause, kind, until=(one.until, two.until))
    return Chance(found.p, found.smallest, None)


def _enough(count: Count, side: Watched) -> bool:
    return side.rows.pieces >= FEWEST and count.known >= KNOWN * side.rows.pieces
