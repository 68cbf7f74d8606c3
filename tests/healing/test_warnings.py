"""Losses that stand out, by cut and tray, from records."""

import pytest

from api.healing.warnings import Warnings, warnings
from tests.healing.farm_book import Book, on_day, stock_of

pytestmark = pytest.mark.filterwarnings("error")


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
    assert worst.sentence.startswith("Band saw, 2026-01-06: 8 of 8 pieces lost; elsewhere pieces")
    assert worst.sentence.endswith("Look at it today: signs, water, neighbours.")
    assert {one.level for one in others} == {"as-usual"}


def test_cuts_that_lose_alike_are_left_alone(tmp_path):
    found = warnings_of(tmp_path, farm(1))
    assert {one.level for one in found.units} == {"as-usual"}
    assert found.note == ["No cut and no tray loses more than is usual here."]


def test_too_few_cuts_do_not_say_what_is_usual(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 x14", "l7")
    found = warnings_of(tmp_path, book)
    assert (found.units, found.note) == (
        [], ["1 cut has been looked at: it takes 4 to know what is usual here."],
    )  # fmt: skip


def test_an_empty_farm_is_an_answer(tmp_path):
    assert warnings_of(tmp_path, Book(), day=0).units == []
