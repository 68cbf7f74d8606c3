"""Losses that stand out, by cut and tray, from records."""

import pytest

from api.healing.errors import NotSettledError
from api.healing.warn.funnel import funnel
from api.healing.warn.notes import (
    ALL_LOST,
    NONE_LOST,
    NONE_ODD,
    NOT_SETTLED,
    NOTHING_SEEN,
    warning_notes,
)
from api.healing.warnings import Warnings, warnings
from tests.healing.farm_book import Book, on_day, stock_of

pytestmark = pytest.mark.filterwarnings("error")
TWO_TRAYS = "2 trays hold pieces: it takes 4 to compare trays with each other."


def warnings_of(folder, book: Book, day: int = 80) -> Warnings:
    return warnings(stock_of(folder, book, day), on_day(day))


def farm(lost: int) -> Book:
    """Ten cuts of eight that lose one piece each, and one that loses `lost`."""
    book = Book()
    for number in range(11):
        gone = lost if number == 5 else 1
        stories = ["l7 l14 x21"] * gone + ["l7 l14 l21 l40"] * (8 - gone)
        tray = "tray.a" if number < 6 else "tray.b"
        book.pieces(book.cut(day=number), *stories, start=number, tray=tray, place="A1")
    return book


def test_a_cut_that_loses_much_more_stands_out_first(tmp_path):
    worst, *others = warnings_of(tmp_path, farm(8)).units
    assert (worst.kind, worst.level, worst.lost, worst.pieces) == ("cut", "act", 8, 8)
    assert worst.sentence.startswith("Band saw, 2026-01-06: 8 of 8 pieces lost; elsewhere about")
    assert worst.sentence.endswith("Look at it today: signs, water, neighbours.")
    assert {one.level for one in others} == {"as-usual"}


def test_what_is_lost_elsewhere_is_said_as_it_was(tmp_path):
    """One piece of one cut: elsewhere none. For each other cut it is one of eighty, by eight."""
    book = Book()
    for number in range(11):
        stories = ["l7 x14" if number == 5 else "l7 l14", *["l7 l14"] * 7]
        book.pieces(book.cut(day=number), *stories, start=number)
    first, *others = [one for one in warnings_of(tmp_path, book).units if one.kind == "cut"]
    assert (first.lost, first.expected) == (1, pytest.approx(0.0, abs=1e-6))
    assert first.sentence == (
        "Band saw, 2026-01-06: 1 of 8 pieces lost; elsewhere about 0.0 of as many are lost by then."
    )
    assert [one.expected for one in others] == pytest.approx([0.1] * 10, abs=1e-6)


def test_cuts_that_lose_alike_are_left_alone(tmp_path):
    found = warnings_of(tmp_path, farm(1))
    assert {one.level for one in found.units} == {"as-usual"}
    assert found.note == ["No cut and no tray loses more than is usual here.", TWO_TRAYS]


def test_too_few_cuts_do_not_say_what_is_usual(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 x14", "l7")
    found = warnings_of(tmp_path, book)
    assert (found.units, found.note) == (
        [], ["1 cut has been looked at: it takes 4 to know what is usual here."],
    )  # fmt: skip


def test_an_empty_farm_is_an_answer(tmp_path):
    found = warnings_of(tmp_path, Book(), day=0)
    assert (found.units, found.note) == ([], [NOTHING_SEEN])


ALIKE = {
    "never looked at": ("", [NOTHING_SEEN]),
    "all lost": ("l7 x14", [ALL_LOST, TWO_TRAYS]),
    "all lost at the first look": ("x7", [ALL_LOST, TWO_TRAYS]),
    "all lost on the day of the cut": ("x0", [ALL_LOST, TWO_TRAYS]),
    "none lost": ("l7 r14", [NONE_LOST, TWO_TRAYS]),
    "all ready at the first look": ("r7", [NONE_LOST, TWO_TRAYS]),
    "all still healing": ("l7 l14", [NONE_LOST, TWO_TRAYS]),
    "looked at on the day of the cut only": ("l0", [NONE_LOST, TWO_TRAYS]),
    "swept only": ("s7 s14", [NONE_LOST, TWO_TRAYS]),
}


@pytest.mark.parametrize("story", ALIKE)
@pytest.mark.parametrize("pieces", [1, 3])
def test_cuts_that_all_went_alike(tmp_path, story, pieces):
    """One piece a cut as well: nothing is odd, every number is one, and a sentence says why."""
    book = Book()
    for number in range(5):
        tray = "tray.a" if number % 2 else "tray.b"
        each = [ALIKE[story][0]] * pieces
        book.pieces(book.cut(day=number), *each, start=number, tray=tray, place="A1")
    found = warnings_of(tmp_path, book)
    assert found.note == ALIKE[story][1]
    assert len(found.units) == (0 if story == "never looked at" else 5)
    for one in found.units:
        assert (one.level, one.since, one.pieces) == ("as-usual", None, pieces)
        assert one.lost == (pieces if "all lost" in story else 0)
        assert 0.0 <= one.expected <= pieces


@pytest.mark.parametrize("story", ["x7", "r7", "l7", ""])
def test_one_cut_only(tmp_path, story):
    book = Book()
    book.pieces(book.cut(), *[story] * 3)
    note = "1 cut has been looked at: it takes 4 to know what is usual here."
    found = warnings_of(tmp_path, book)
    assert (found.units, found.note) == ([], [note if story else NOTHING_SEEN])


def test_of_a_thousand_cuts_a_hundred_are_listed(tmp_path):
    """Every eighth loses all: where cuts differ as much as that, none of them is odd."""
    book = Book()
    mother = book.colony()
    for number in range(1000):
        story = "x7" if number % 8 == 0 else "l7"
        book.pieces(book.cut(mother, sitting=book.key()), *[story] * 3)
    found = warnings_of(tmp_path, book)
    assert found.note == [NONE_ODD, "900 more are as usual and not listed."]
    assert [(one.kind, one.level, one.lost) for one in found.units] == [
        ("cut", "as-usual", 3)
    ] * 100


def test_what_the_list_leaves_out_is_said():
    bad = [("look", each) for each in funnel([9] * 101, [10] * 101)]
    usual = [("as-usual", each) for _, each in bad]
    assert warning_notes(101, 4, [*bad[:2], *usual[:98]]) == []
    assert warning_notes(101, 4, [*bad[:2], *usual[:99]]) == ["1 more is as usual and not listed."]
    assert warning_notes(101, 4, [*bad, *usual[:3]]) == [
        "101 cuts and trays stand out; the 100 gravest are listed.",
        "3 more are as usual and not listed.",
    ]
    assert warning_notes(101, 4, bad[:100]) == []
    assert warning_notes(101, 4, bad) == [
        "101 cuts and trays stand out; the 100 gravest are listed."
    ]
    assert warning_notes(101, 1, bad[:1]) == [
        "1 tray holds pieces: it takes 4 to compare trays with each other."
    ]


def test_what_does_not_settle_is_said(tmp_path, monkeypatch, caplog):
    def unsettled(_):
        raise NotSettledError("not to 1e-8")

    stock = stock_of(tmp_path, farm(1), 80)
    monkeypatch.setattr("api.healing.warnings.others_curves", unsettled)
    found = warnings(stock, on_day(80))
    assert (found.units, found.note) == ([], [NOT_SETTLED, TWO_TRAYS])
    assert caplog.messages == ["Losses that stand out: not to 1e-8"]
