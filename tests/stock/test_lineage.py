"""Where a piece comes from: species, line and cut number through mothers, and odd family trees."""

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.stock.lineage import (
    CutNumber,
    Descent,
    Kin,
    Kinship,
    descent,
    forebears,
    kin_of,
    number_text,
)
from api.stock.lists import Facility
from api.stock.state import Begun, PieceState
from tests.stock.list_cases import LINEAGE


def kin(piece: dict[str, Any]) -> Kin:
    """A piece of a case by way of its state, whose purpose has changed since it was glued."""
    kind = piece["kind"]
    state = PieceState(
        id="x",
        begun=Begun(kind, "r", 0, "2026-03-01"),
        cut=piece.get("cut"),
        species=piece.get("species"),
        line=piece.get("line"),
        origin=piece.get("origin"),
        cut_number=piece.get("cut_number"),
        purpose="sale" if piece.get("purpose") == "hold" else "hold",
        glued_for=piece.get("purpose"),
    )
    return kin_of(state)


@pytest.mark.parametrize("case", LINEAGE, ids=lambda case: case["name"])
def test_lineage_of_each_case(case):
    kinship = Kinship({key: kin(piece) for key, piece in case["pieces"].items()}, case["cuts"])
    settings = Facility(**case["settings"])
    found = {key: descent(key, kinship, settings) for key in case["expected"]}
    assert msgspec.to_builtins(found) == case["expected"]


def test_forebears_are_named_nearest_first():
    chain = Kinship(
        {
            "colony": Kin("arrival"),
            "child": Kin("glue", "cut.1"),
            "grandchild": Kin("glue", "cut.2"),
        },
        {"cut.1": "colony", "cut.2": "child"},
    )
    assert [forebears(piece, chain) for piece in ("grandchild", "child", "colony", "nobody")] == [
        ["child", "colony"], ["colony"], [], [],
    ]  # fmt: skip


def test_a_piece_of_which_nothing_is_known():
    nothing = Descent(None, None, CutNumber(None, 0))
    assert descent("nobody", Kinship({}, {}), Facility()) == nothing
    unknown = Kinship({"odd": kin_of(PieceState(id="odd", purpose="sale"))}, {})
    assert descent("odd", unknown, Facility()) == nothing


def test_how_a_cut_number_is_written():
    numbers = [CutNumber(0, 0), CutNumber(2, 3), CutNumber(None, 2)]
    assert [number_text(number) for number in numbers] == ["0", "5", "?+2"]


pieces = st.integers(0, 5).map("piece.{}".format)
cuts = st.integers(0, 5).map("cut.{}".format)
anybody = st.builds(
    Kin,
    begun=st.sampled_from(["arrival", "glue", None]),
    cut=st.none() | cuts,
    glued=st.sampled_from(["sale", "hold", None]),
    species=st.sampled_from(["species.one", None]),
    origin=st.sampled_from(["wild", "farmed", None]),
    cut_number=st.none() | st.integers(0, 9),
)


@given(st.dictionaries(pieces, anybody), st.dictionaries(cuts, pieces), st.booleans())
def test_any_family_tree_ends_and_agrees_with_a_walk_by_recursion(kin, mothers, keeps):
    """Loops included: a second walk that carries the path it has taken."""
    kinship, settings = Kinship(kin, mothers), Facility(wild_number=1, held_back_keeps=keeps)

    def walk(piece: str, path: tuple[str, ...]) -> tuple[int, Kin | None]:
        one = kin.get(piece)
        own = int(one is not None and one.begun == "glue")
        if one is not None and one.glued == "hold" and keeps:
            own = 0
        mother = mothers.get(one.cut) if one is not None and one.cut is not None else None
        if mother is None or mother in path:
            return own, one
        plus, end = walk(mother, (*path, mother))
        return own + plus, end

    for piece in kin:
        plus, end = walk(piece, (piece,))
        expected = Descent(None, None, CutNumber(None, plus))
        if end is not None and end.begun == "arrival":
            base = 1 if end.origin == "wild" else end.cut_number
            expected = Descent(end.species, end.line, CutNumber(base, plus))
        assert descent(piece, kinship, settings) == expected
