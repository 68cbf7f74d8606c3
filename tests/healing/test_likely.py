"""Likely days of getting ready: from records to dates, and when nothing is said yet."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from api.healing.likely import Likely, likely
from tests.healing.farm_book import FIRST, Book, on_day, stock_of

pytestmark = pytest.mark.filterwarnings("error")


def likely_of(folder, book: Book, day: int, tray: str | None = None) -> Likely:
    return likely(stock_of(folder, book, day), "sale", on_day(day), tray)


def farm(young: int = 4) -> Book:
    """Eight old cuts ready about day 60, then a cut of day 70 whose pieces are seen until 90."""
    random = np.random.default_rng(8)
    book = Book()
    for _ in range(8):
        days = 60 + random.integers(-5, 6) + random.integers(-8, 9, 6)
        book.pieces(book.cut(), *[f"l{day - 7} r{day}" for day in days], "l7 x14")
    book.pieces(book.cut(day=70), *["l10 l20"] * young, start=70, tray="tray.a", place="A1")
    return book


def test_pieces_that_heal_as_others_did_are_likely_ready_when_those_were(tmp_path):
    found = likely_of(tmp_path, farm(), day=92)
    assert len(found.pieces) == 4
    for piece in found.pieces:
        low, day, high = (date.fromisoformat(text) for text in (piece.low, piece.day, piece.high))
        assert low < day < high
        # Cut on day 70, ready about sixty days later.
        assert abs((day - (FIRST + timedelta(days=70 + 57))).days) <= 8
        assert piece.ever > 0.7
        assert not piece.outside
    assert [week.begins for week in found.weeks][:2] == ["2026-04-03", "2026-04-10"]
    assert sum(week.mean for week in found.weeks) == pytest.approx(4, abs=0.6)
    assert all(week.low <= week.mean <= week.high + 1 for week in found.weeks)


def test_a_look_dated_after_today_is_no_fault_of_the_reader(tmp_path):
    stock = replace(stock_of(tmp_path, farm(), 92), today="2026-03-20")
    assert len(likely(stock, "sale", on_day(78)).pieces) == 4


def test_only_one_trays(tmp_path):
    assert len(likely_of(tmp_path, farm(), day=92, tray="tray.a").pieces) == 4


def test_no_such_tray_is_an_answer(tmp_path):
    found = likely_of(tmp_path, farm(), day=92, tray="tray.b")
    assert (found.pieces, found.weeks, len(found.note)) == ([], [], 1)


def test_a_stalled_piece_is_promised_nothing(tmp_path):
    book = farm()
    book.pieces(book.cut(), "l200 l300")
    found = likely_of(tmp_path, book, day=301)
    [stalled] = [piece for piece in found.pieces if piece.outside]
    assert (stalled.day, stalled.low, stalled.high) == (None, None, None)
    assert any("healing for longer than nearly all others" in note for note in found.note)


def test_too_early_is_said(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 r14", "l7", "l14")
    assert likely_of(tmp_path, book, day=20).note == [
        "Too early to say: 1 of 10 pieces that it takes were seen getting ready."
    ]


def test_an_empty_farm_has_nothing_to_come(tmp_path):
    assert likely_of(tmp_path, Book(), day=0).pieces == []
