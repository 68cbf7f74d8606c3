"""Every trait a report can be put into groups by, the tanks' part in it, and narrowing a report."""

import numpy as np
import pytest

from api.healing.only import EVERYTHING, Only, read_only
from api.healing.report_notes import NOTHING_LEFT, OF_A_TANK, TRAITS
from api.healing.shapes import Choice
from api.healing.tanks import Tanks, tanks_of
from api.healing.traits import BYS
from api.problems import BadRequest
from tests.healing.farm_book import Book, only, report_of

pytestmark = pytest.mark.filterwarnings("error")


def farm() -> Book:
    """Two tanks with a tray each; one tray is moved later. Two cuts by two people."""
    book = Book()
    for tank in ("tank.a", "tank.b"):
        book.write(-30, "define", {"list": "tank", "fields": {"name": tank[-1:].upper()}},
                   ("item", tank))  # fmt: skip
        tray = f"tray.{tank[-1:]}"
        book.write(-30, "define", {"list": "tray", "fields": {"name": "T"}}, ("item", tray))
        book.write(-29, "move", {"tank": tank}, ("tray", tray))
    book.write(-30, "define", {"list": "species", "fields": {"form": "massive"}},
               ("item", "species.one"))  # fmt: skip
    first = book.cut(operator="Ada", blade="blade.one")
    book.pieces(first, "l7", "l7", tray="tray.a", place="A1", size_mm=24, encrustation=1,
                mouths_kept="part")  # fmt: skip
    second = book.cut(book.colony("species.two"), day=3, operator="Bo")
    book.pieces(second, "l7", tray="tray.b", place="A2", size_mm=31, mouths_kept=2, start=3,
                purpose="hold")  # fmt: skip
    for day in (1, 4, 7, 10):
        book.write(day, "care", {"what": "feed", "name": "plankton"}, ("tank", "tank.a"))
    book.write(2, "care", {"what": "feed", "name": "rotifers"}, ("tank", "tank.b"))
    book.write(9, "move", {"tank": "tank.b"}, ("tray", "tray.a"))
    return book


@pytest.mark.parametrize(
    ("by", "groups"),
    [
        ("form", [("massive", "Massive or encrusting", 2),
                  ("unknown", "Growth form not known", 1)]),
        ("mouths", [("part", "Part of a mouth kept", 2), ("2", "2 mouths kept", 1)]),
        ("size", [("20", "20 to 29 mm", 2), ("30", "30 to 39 mm", 1)]),
        ("start", [("1", "A quarter covered at the start", 2),
                   ("unknown", "Encrustation at the start not recorded", 1)]),
        ("number", [("1", "Cut number 1", 3)]),
        ("operator", [("Ada", "Ada", 2), ("Bo", "Bo", 1)]),
        # Where the tray stood at gluing, whatever came later.
        ("tank", [("tank.a", "A", 2), ("tank.b", "B", 1)]),
        # Rotifers once are no regime.
        ("care", [("feed plankton", "Feed plankton", 2),
                  ("unknown", "Tank not recorded, or nothing given regularly", 1)]),
    ],
)  # fmt: skip
def test_groups_by_every_trait(tmp_path, by, groups):
    found = report_of(tmp_path, farm(), by=by)
    assert [(g.key, g.name, g.pieces) for g in found.groups] == groups
    whole = found.all
    assert (whole.key, whole.pieces) == ("all", 3) if len(groups) > 1 else whole is None


def test_where_care_is_compared_a_tank_counts_once(tmp_path):
    found = report_of(tmp_path, farm(), by="care")
    assert [(g.unit, g.cuts) for g in found.groups] == [("tank", 1), ("tank", 1)]
    assert found.groups[0].sentence == (
        "Feed plankton: none of 2 ready yet; none lost; one tank only."
    )
    assert OF_A_TANK in found.note


def test_a_tray_stood_in_its_first_tank_before_the_first_move_too():
    tanks = Tanks({"tray": [(10, "one"), (20, "two")]})
    at = np.array([5, 10, 19, 20, 99, 5, 5])
    which = np.array([0, 0, 0, 0, 0, 1, 2])
    found, places = tanks.when(["tray", None, "other"], which, at)
    assert [found[place] for place in places] == ["one"] * 3 + ["two"] * 2 + [None] * 2
    assert tanks_of([], "UTC") == Tanks()


def test_a_move_that_was_taken_back_moved_nothing(tmp_path):
    book = farm()
    move = next(r["id"] for r in book.records if r["subject"] == {"kind": "tray", "id": "tray.a"})
    book.retract(move, 30)
    # The first tank it is known in is then the one of its later move.
    assert [g.key for g in report_of(tmp_path, book, by="tank").groups] == ["tank.b"]


def test_a_report_is_narrowed_by_days_and_by_traits(tmp_path):
    book = farm()
    for name in "abcd":
        (tmp_path / name).mkdir()
    later = Only(since="2026-01-02")
    assert only(report_of(tmp_path / "a", book, only=later)).pieces == 1
    first = Only(until="2026-01-01")
    assert only(report_of(tmp_path / "b", book, only=first)).pieces == 2
    both = read_only(None, None, ["mouths:part", "mouths:2", "species:species.two"])
    found = report_of(tmp_path / "c", book, only=both)
    assert only(found).pieces == 1
    assert found.only == ["mouths:2", "mouths:part", "species:species.two"]
    # What can be chosen does not shrink with what was chosen.
    assert Choice("mouths", "part", "Part of a mouth kept", 2) in found.choices
    assert {choice.trait for choice in found.choices} == {
        "species", "purpose", "mouths", "size", "operator",
    }  # fmt: skip
    tank = report_of(tmp_path / "d", book, only=read_only(None, None, ["tank:tank.b"]))
    assert only(tank).pieces == 1


def test_filters_that_match_nothing_say_so(tmp_path):
    found = report_of(tmp_path, farm(), only=Only(values={"method": frozenset({"method.none"})}))
    assert (found.groups, found.all, found.note) == ([], None, [NOTHING_LEFT])


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (("2026-13-01", None, []), "'from' is '2026-13-01', which is no date"),
        ((None, "soon", []), "'to' is 'soon', which is no date"),
        (("2026-02-01", "2026-01-01", []), "'from' 2026-02-01 comes after 'to' 2026-01-01"),
        ((None, None, ["colour:red"]), "'colour:red' names no trait"),
        ((None, None, ["method"]), "'method' names no trait"),
        ((None, None, ["method:"]), "'method:' names no trait"),
    ],
)
def test_what_cannot_be_read_is_named(asked, said):
    with pytest.raises(BadRequest, match=said):
        read_only(*asked)


def test_nothing_asked_lets_everything_through():
    assert read_only(None, None, []) == EVERYTHING


def test_every_trait_has_its_word():
    assert tuple(TRAITS) == (*BYS, "mother")
