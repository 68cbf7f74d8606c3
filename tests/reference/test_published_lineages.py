"""Cut numbers against lineages that others have published: divisions counted from the first on.

A division in which the mother lives on is a cut with one piece; one that leaves two daughters and
no mother is a cut with two pieces that uses her up.
"""

from math import comb

import pytest

from api.stock.lineage import CutNumber, Kin, Kinship, descent, forebears, number_text
from api.stock.lists import Facility

# The founder cells of a nematode's embryo, and for each its two daughters. The germ line's own name
# counts its divisions: P0 to P4. Sulston, Schierenberg, White & Thomson 1983, Dev Biol 100:64; the
# divisions are written here from memory, and agree with two public tables of the same lineage.
DIVISIONS = {
    "P0": ("AB", "P1"), "P1": ("EMS", "P2"), "P2": ("C", "P3"), "P3": ("D", "P4"),
    "P4": ("Z2", "Z3"), "EMS": ("MS", "E"), "AB": ("ABa", "ABp"), "ABa": ("ABal", "ABar"),
    "ABp": ("ABpl", "ABpr"), "ABal": ("ABala", "ABalp"),
}  # fmt: skip


def embryo() -> Kinship:
    kin = {"P0": Kin("arrival", species="species.one", line="P0", origin="wild")}
    kin |= {
        daughter: Kin("glue", f"cut.{mother}", "sale")
        for mother, daughters in DIVISIONS.items() for daughter in daughters
    }  # fmt: skip
    return Kinship(kin, {f"cut.{mother}": mother for mother in DIVISIONS})


@pytest.mark.parametrize("name", sorted({d for pair in DIVISIONS.values() for d in pair}))
def test_a_published_name_says_how_often_its_line_has_divided(name):
    """P4 is four divisions from P0; each small letter behind AB is one more than AB's own."""
    if name.startswith("AB"):
        divisions = len(name) - 1
    else:
        divisions = {"P1": 1, "P2": 2, "P3": 3, "P4": 4, "EMS": 2, "C": 3, "D": 4, "MS": 3, "E": 3,
                     "Z2": 5, "Z3": 5}[name]  # fmt: skip
    found = descent(name, embryo(), Facility())
    assert (found.line, found.number) == ("P0", CutNumber(0, divisions))
    assert len(forebears(name, embryo())) == divisions


def test_a_piece_s_forebears_are_those_that_its_published_name_is_made_of():
    assert forebears("ABalp", embryo()) == ["ABal", "ABa", "AB", "P0"]
    assert forebears("Z3", embryo()) == ["P4", "P3", "P2", "P1", "P0"]
    assert forebears("E", embryo()) == ["EMS", "P1", "P0"]


def doubled(rounds: int, purpose: str = "sale") -> Kinship:
    """Each round every piece there is is cut once, gives one piece and remains herself."""
    kin = {"colony": Kin("arrival", origin="farmed", cut_number=2)}
    mothers: dict[str, str] = {}
    for this in range(rounds):
        for mother in list(kin):
            cut = f"{this}.{mother}"
            mothers[cut] = mother
            kin[f"{mother}/{this}"] = Kin("glue", cut, purpose)  # type: ignore[arg-type]
    return Kinship(kin, mothers)


@pytest.mark.parametrize("rounds", [1, 4, 7])
def test_mothers_that_remain_give_the_binomial_tree(rounds):
    """Such a family is the binomial tree B_k, which has C(k, i) nodes at depth i and 2^k in all
    (Vuillemin 1978, Commun ACM 21:309; Cormen and others, Introduction to Algorithms, lemma on
    binomial trees). Bought in with number 2, so depth i carries the number 2 + i."""
    kinship = doubled(rounds)
    numbers = [number_text(descent(each, kinship, Facility()).number) for each in kinship.kin]
    assert len(numbers) == 2**rounds
    for depth in range(rounds + 1):
        assert numbers.count(str(2 + depth)) == comb(rounds, depth)


def test_where_pieces_held_back_keep_their_mother_s_number_none_ever_rises():
    """The other convention on the same tree: every piece held back, all 128 still carry 2."""
    kinship = doubled(7, "hold")
    keeps = Facility(held_back_keeps=True)
    assert {descent(each, kinship, keeps).number for each in kinship.kin} == {CutNumber(2, 0)}


def test_from_an_unknown_number_the_same_tree_counts_what_was_added():
    kinship = doubled(3)
    unknown = Kinship({**kinship.kin, "colony": Kin("arrival", origin="farmed")}, kinship.mothers)
    numbers = [number_text(descent(each, unknown, Facility()).number) for each in unknown.kin]
    assert {text: numbers.count(text) for text in set(numbers)} == {
        "?+0": 1, "?+1": 3, "?+2": 3, "?+3": 1,
    }  # fmt: skip
