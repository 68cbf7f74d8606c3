"""What cannot be told from the group."""

import numpy as np
import pytest

from api.healing.compare.confounded import Common, Trait, confounded
from api.healing.errors import RowsError

# Six cuts of four pieces a side; 0, ..., 5 band saw, 6, ..., 11 scissors.
SAW, SCISSORS = np.repeat(np.arange(6), 4), np.repeat(np.arange(6, 12), 4)
TILE, PLUG = 0, 1


def verdict(one, two, cuts=(SAW, SCISSORS)):
    [found] = confounded({"base": np.array(one)}, {"base": np.array(two)}, cuts)
    return found.verdict, found.unit, round(found.in_common, 3)


def by_cut(*values):
    return np.repeat(values, 4)


def test_every_band_saw_cut_was_on_tile_and_no_other():
    found = confounded(
        {"base": by_cut(TILE, TILE, TILE, TILE, TILE, TILE)},
        {"base": by_cut(PLUG, PLUG, PLUG, PLUG, PLUG, PLUG)},
        (SAW, SCISSORS),
    )
    tile, plug = Common(TILE, 1.0, 0.0, 6, 0), Common(PLUG, 1.0, 0.0, 6, 0)
    assert found == [Trait("base", "not", "cuts", tile, plug, 0.0)]


@pytest.mark.parametrize(
    ("two", "expected"),
    [
        ((1, 1, 1, 0, 0, 0), ("partly", "cuts", 0.5)),
        ((1, 1, 0, 0, 0, 0), ("partly", "cuts", 0.667)),
        ((1, 0, 0, 0, 0, 0), ("separable", "cuts", 0.833)),
        ((0, 0, 0, 0, 0, 0), ("separable", "cuts", 1.0)),
        ((1, 1, 1, 1, 1, 0), ("partly", "cuts", 0.167)),
        ((1, 2, 1, 2, 1, 2), ("not", "cuts", 0.0)),
    ],
)
def test_every_band_saw_cut_was_on_tile(two, expected):
    assert verdict(by_cut(0, 0, 0, 0, 0, 0), by_cut(*two)) == expected


def test_neither_side_is_of_one_kind():
    assert verdict(by_cut(0, 0, 0, 1, 1, 1), by_cut(0, 0, 1, 1, 1, 1))[0] == "separable"
    assert verdict(by_cut(0, 0, 0, 1, 1, 1), by_cut(1, 2, 2, 2, 2, 2))[0] == "partly"
    assert verdict(by_cut(0, 0, 0, 1, 1, 1), by_cut(2, 2, 2, 3, 3, 3))[0] == "not"


def test_mothers_that_differ_as_cuts_do_are_no_reason_to_refuse():
    """Six mothers a side, none in common, are what cuts are; two mothers against one are not."""
    assert verdict(by_cut(*range(6)), by_cut(*range(6, 12)))[0] == "partly"
    assert verdict(by_cut(0, 0, 0, 1, 1, 1), by_cut(2, 2, 2, 2, 2, 2))[0] == "not"


def test_what_varies_within_cuts_is_counted_by_pieces():
    """Sizes 1 and 2 in each cut of the first group, size 2 only in the second's."""
    [found] = confounded(
        {"size": np.tile([1, 2, 2, 2], 6)}, {"size": by_cut(2, 2, 2, 2, 2, 2)}, (SAW, SCISSORS)
    )
    assert found == Trait(
        "size", "partly", "pieces", Common(2, 0.75, 1.0, 24, 0), Common(2, 1.0, 0.75, 24, 0), 0.75
    )


def test_a_large_cut_counts_once():
    """Forty pieces on tile in one cut, nine cuts of one piece on plug: tile is a tenth."""
    cuts = np.concatenate((np.zeros(40, int), np.arange(1, 10)))
    [found] = confounded(
        {"base": np.where(cuts == 0, TILE, PLUG)}, {"base": np.full(3, PLUG)},
        (cuts, np.array([20, 21, 22])),
    )  # fmt: skip
    assert found.one == Common(PLUG, 0.9, 1.0, 10, 0)
    assert found.verdict == "separable"


def test_a_shared_cut_is_on_both_sides():
    assert verdict(by_cut(*range(6)), by_cut(*range(6)), (SAW, SAW)) == ("separable", "cuts", 1.0)


def test_unknown_is_counted_apart_and_a_cut_is_known_by_any_piece():
    one = by_cut(0, 0, 0, 0, -1, -1)
    one[0] = -1
    [found] = confounded(
        {"base": one, "blade": np.full(24, -1)}, {"base": by_cut(1, 1, 1, 1, 1, 1),
        "blade": np.full(24, 3)}, (SAW, SCISSORS),
    )  # fmt: skip
    assert (found.name, found.verdict, found.one) == ("base", "not", Common(0, 1.0, 0.0, 4, 2))


def test_no_pieces_or_no_traits_have_no_verdict():
    nothing = np.zeros(0, np.int64)
    assert confounded({"base": nothing}, {"base": by_cut(*range(6))}, (nothing, SCISSORS)) == []
    assert confounded({}, {}, (SAW, SCISSORS)) == []


def test_columns_that_do_not_fit_are_refused():
    with pytest.raises(RowsError, match="same traits"):
        confounded({"base": SAW}, {"blade": SAW}, (SAW, SAW))
    for bad in (SAW[:3], SAW - 2, SAW + 0.5, [[1]]):
        with pytest.raises(RowsError, match="'base' needs one whole number for each piece"):
            confounded({"base": bad}, {"base": SAW}, (SAW, SAW))
    with pytest.raises(RowsError, match="'cuts' needs"):
        confounded({"base": SAW}, {"base": SAW}, (SAW + 0.5, SAW))
