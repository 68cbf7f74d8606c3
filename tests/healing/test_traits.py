"""Every trait a report can be put into groups by, the tanks' part in it, and narrowing a report."""

from time import perf_counter

import numpy as np
import pytest

from api.healing.groups import grouped
from api.healing.only import EVERYTHING, Only, read_only
from api.healing.report import choices
from api.healing.report_notes import NOTHING_LEFT, OF_A_TANK, TRAITS
from api.healing.shapes import Choice
from api.healing.tanks import Tanks, tanks_of
from api.healing.traits import BYS, UNKNOWN, name_of
from api.problems import BadRequest
from tests.healing.farm_book import Book, only, report_of, stock_of

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
    for day in (-60, -50, -2, -1, 0):
        book.write(day, "care", {"what": "feed", "name": "plankton"}, ("tank", "tank.a"))
    book.write(-2, "care", {"what": "feed", "name": "rotifers"}, ("tank", "tank.b"))
    book.write(9, "move", {"tank": "tank.b"}, ("tray", "tray.a"))
    return book


@pytest.mark.parametrize(
    ("by", "groups"),
    [
        ("form", [("massive", "Massive or encrusting", 2),
                  ("?", "Growth form not known", 1)]),
        ("mouths", [("part", "Part of a mouth kept", 2), ("2", "2 mouths kept", 1)]),
        ("size", [("20", "20 to 29 mm", 2), ("30", "30 to 39 mm", 1)]),
        ("start", [("1", "A quarter covered at the start", 2),
                   ("?", "Encrustation at the start not recorded", 1)]),
        ("number", [("1", "Cut number 1", 3)]),
        ("operator", [("Ada", "Ada", 2), ("Bo", "Bo", 1)]),
        # Where the tray stood at gluing, whatever came later.
        ("tank", [("tank.a", "A", 2), ("tank.b", "B", 1)]),
        # Rotifers once are no regime.
        ("care", [("feed plankton", "Feed plankton", 2),
                  ("nothing", "Nothing given regularly", 1)]),
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


def test_care_that_was_begun_later_or_given_up_before_is_no_regime(tmp_path):
    """A piece cut on day 0 and ready on day 14 is not of the plankton of days 200 to 203; one cut
    on day 203 is, and one of day 260, when only the last three of four count, no more."""
    book = Book()
    book.write(-30, "define", {"list": "tank", "fields": {"name": "A"}}, ("item", "tank.a"))
    book.write(-29, "move", {"tank": "tank.a"}, ("tray", "tray.a"))
    for day in range(200, 204):
        book.write(day, "care", {"what": "feed", "name": "plankton"}, ("tank", "tank.a"))
    for number, day in enumerate((0, 202, 203, 259, 260, 300)):
        book.pieces(book.cut(day=day), "l1", start=day, tray="tray.a", place=f"A{number + 1}")
    book.pieces(book.cut(day=260), "l1", start=260)
    found = report_of(tmp_path, book, by="care")
    assert [(g.key, g.name, g.pieces) for g in found.groups] == [
        ("nothing", "Nothing given regularly", 4), ("feed plankton", "Feed plankton", 2),
        (UNKNOWN, "Tank not recorded", 1),
    ]  # fmt: skip


def test_regimes_by_counting_every_window():
    """The second way: the days of each window counted one by one."""
    random = np.random.default_rng(5)
    given = {what: sorted({int(day) for day in random.integers(1000, 1300, count)})
             for what, count in (("feed a", 40), ("dose b", 12), ("dose c", 3))}  # fmt: skip
    days = np.arange(990, 1400)
    expected = [
        "; ".join(what for what in sorted(given)
                  if sum(day - 60 < other <= day for other in given[what]) >= 4)
        for day in days.tolist()
    ]  # fmt: skip
    tanks = Tanks({}, {"tank": given})
    assert tanks.regimes("tank", days) == expected
    assert len(set(expected)) >= 3
    assert tanks.regimes(None, days[:2]) == tanks.regimes("other", days[:2]) == ["", ""]


def test_where_many_trays_stood_is_found_without_a_pass_for_each():
    """Beside one piece at a time; and sooner than even picking out each tray's pieces."""
    random, count = np.random.default_rng(6), 200_000
    trays = [f"tray.{number}" for number in range(2000)]
    stays = {tray: [(int(at), f"{tray} {at}") for at in np.sort(random.integers(0, 1000, 3))]
             for tray in trays[1:]}  # fmt: skip
    which, at = random.integers(0, len(trays), count), random.integers(0, 1000, count)
    begin = perf_counter()
    tanks, found = Tanks(stays).when(trays, which, at)
    between = perf_counter()
    assert sum(np.flatnonzero(which == number).size for number in range(len(trays))) == count
    assert between - begin < perf_counter() - between
    for piece in range(500):
        moves = stays.get(trays[which[piece]], [(0, None)])
        before = [tank for moved, tank in moves if moved <= at[piece]]
        assert tanks[found[piece]] == [moves[0][1], *before][-1]


def test_tanks_and_care_can_be_chosen(tmp_path):
    stock = stock_of(tmp_path, farm(), 10)
    found = choices(stock, grouped(stock, "method", "sale"))
    assert {choice.trait for choice in found} == {
        "species", "purpose", "mouths", "size", "operator", "tank", "care",
    }  # fmt: skip


def test_no_entrys_name_is_taken_for_what_is_no_entry(tmp_path):
    """Trays '2', 'sale', 'part' and so on, a base 'unknown', and an operator who is named as a tray
    is."""
    book = Book()
    for key in ("1", "2", "20", "sale", "part", "massive", "nothing", "ada"):
        book.write(-30, "define", {"list": "tray", "fields": {"name": "Top shelf"}}, ("item", key))
    book.write(-30, "define", {"list": "base", "fields": {"name": "Odd"}}, ("item", "unknown"))
    (tmp_path / "again").mkdir()
    book.pieces(book.cut(operator="ada"), "l7", base="unknown", mouths_kept=2, size_mm=24, start=0)
    stock = stock_of(tmp_path, book, 10)
    named = {by: name_of(stock, by, key) for by, key in (
        ("mouths", "2"), ("mouths", "part"), ("purpose", "sale"), ("form", "massive"),
        ("number", "1"), ("start", "1"), ("size", "20"), ("care", "nothing"), ("operator", "ada"),
        ("base", "unknown"), ("arm", "part"),
    )}  # fmt: skip
    assert named == {
        "mouths": "Part of a mouth kept", "purpose": "For sale", "form": "Massive or encrusting",
        "number": "Cut number 1", "start": "A quarter covered at the start", "size": "20 to 29 mm",
        "care": "Nothing given regularly", "operator": "ada", "base": "Odd",
        "arm": "Part of a mouth kept",
    }  # fmt: skip
    assert name_of(stock, "mouths", "2") == "2 mouths kept"
    assert name_of(stock, "base", UNKNOWN) == "Base not recorded"
    assert only(report_of(tmp_path / "again", book, by="base")).name == "Odd"


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
