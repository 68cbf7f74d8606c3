"""Pieces that are given no date, and methods whose dates are warned of."""

from dataclasses import replace

import pytest

from api.healing import likely as likely_module
from api.healing.predict.chance import Chances, predict
from api.healing.rows import MAX_DAY
from tests.healing.farm_book import Book
from tests.healing.likely_farm import farm, likely_of
from tests.healing.test_likely_notes import HOPELESS, LATE

pytestmark = pytest.mark.filterwarnings("error")


def test_a_stalled_piece_is_promised_nothing(tmp_path):
    book = farm()
    book.pieces(book.cut(), "l200 l300")
    found = likely_of(tmp_path, book, day=301)
    [stalled] = [piece for piece in found.pieces if piece.outside]
    assert (stalled.day, stalled.low, stalled.high) == (None, None, None)
    assert [note for note in found.note if "No date" in note] == [f"1 piece has {LATE}"]


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [("ever", 0.005, HOPELESS), ("high", MAX_DAY + 1, HOPELESS), ("outside", True, LATE)],
)
def test_what_has_hardly_a_chance_or_no_end_is_given_no_date(
    tmp_path, monkeypatch, column, value, said
):
    def odd(*asked) -> Chances:
        found = predict(*asked)
        changed = getattr(found, column).copy()
        changed[2] = value
        return replace(found, **{column: changed})

    monkeypatch.setattr(likely_module, "predict", odd)
    found = likely_of(tmp_path, farm(), day=92)
    assert sorted((one.day is None, one.outside) for one in found.pieces) == [
        *[(False, False)] * 3, (True, True),
    ]  # fmt: skip
    assert [note for note in found.note if "No date" in note] == [f"1 piece has {said}"]


def test_a_method_in_which_the_model_strays_is_named_and_its_dates_stay(tmp_path):
    """Half of the disc saw's pieces are ready on day 8, half on day 90, of which the model knows
    nothing; of the band saw's there are too few to tell."""
    book = Book()
    book.pieces(book.cut(), *[f"l{day - 7} r{day}" for day in range(50, 70, 2)])
    for _ in range(10):
        book.pieces(book.cut(method="method.disc"), *["r8"] * 3, *["l8 l89 r90"] * 3)
    book.pieces(book.cut(method="method.disc", day=70), "l20", start=70)
    found = likely_of(tmp_path, book, day=92)
    assert found.note[3:] == [
        "Disc saw: the model lies far from what was plainly seen. Trust the curve there more than "
        "these dates."
    ]
    assert [one.day is None for one in found.pieces if one.name == "Disc saw"] == [False]


def test_chances_are_asked_for_no_day_but_today(tmp_path, monkeypatch):
    asked = []

    def noted(*given) -> Chances:
        asked.append(predict(*given).ready_by.shape)
        return predict(*given)

    monkeypatch.setattr(likely_module, "predict", noted)
    likely_of(tmp_path, farm(), day=92)
    assert asked == [(4, 0)]
