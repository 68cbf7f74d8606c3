"""Which test a pair gets."""

import numpy as np
import pytest

from api.healing.compare.counts import Count, barnard
from api.healing.compare.permute import permutation_test
from api.healing.odds import Chance, Watched, chances
from api.healing.rows import Cause
from tests.healing.compare.arms_drawn import typed

pytestmark = pytest.mark.filterwarnings("error")


def watched(*cuts: str, first: int = 0, age: int = 90) -> Watched:
    rows = typed(*cuts, first=first)
    return Watched(rows, np.full(rows.left.size, age), rows.last_seen())


def permuted(one: Watched, two: Watched) -> tuple[Chance, Chance]:
    rows = one.rows, two.rows
    found = (
        permutation_test(*rows, cause, kind, until=(one.until, two.until))
        for cause, kind in ((Cause.READY, "wilcoxon"), (Cause.LOST, "sun"))
    )
    ready, lost = (Chance(test.p, test.smallest, None) for test in found)
    return ready, lost


def test_pieces_that_are_each_a_cut_have_the_exact_test_of_their_counts():
    one = watched(*["r9-16"] * 9, *["x3-9"] * 1, "c60")
    two = watched(*["r30-37"] * 6, *["x3-9"] * 5, first=50)
    counts = (Count(9, 11), Count(0, 11)), (Count(1, 11), Count(5, 11))
    assert chances(one, two, 20) == tuple(Chance(*barnard(*each), each) for each in counts)


def test_pieces_of_a_cut_are_dealt_as_a_whole():
    one = watched(*["r9-16 r9-16 x3-9"] * 3, "r9-16")
    two = watched(*["r30-37 r30-37 c60"] * 4, first=50)
    assert chances(one, two, 20) == permuted(one, two)


@pytest.mark.parametrize("change", ["young", "many", "shared", "few"])
def test_else_cuts_are_dealt(change):
    """Too few of one side known by the day, too many pieces or fewer than ten of a side, or a cut
    with a piece in both."""
    n = {"many": 101, "few": 7}.get(change, 8)
    age = 15 if change == "young" else 90
    one = watched(*["r9-16", "x3-9"] * (n // 2 + 1), age=age)
    two = watched(*["r20-25", "c60"] * (n // 2 + 1), first=0 if change == "shared" else 500)
    assert chances(one, two, 20) == permuted(one, two)
