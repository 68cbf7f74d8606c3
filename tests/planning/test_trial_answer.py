"""GET /api/planning/trial-size: out of a farm's log, out of what is typed, and refusals."""

import pytest

from api.database import Database
from api.healing.stock import read_stock
from api.planning.answer import size_of
from api.planning.question import Question
from api.planning.shapes import SizeFor, TrialSize
from api.planning.trial_size import Design, Spread, cuts_for_days, cuts_for_shares
from tests.healing.farm_book import Book, fill, on_day, run

AT = "/api/planning/trial-size"
LOST = {"varies": "base", "arms": 2, "endpoint": "lost", "difference": 10}


def healed(cuts: int) -> Book:
    """Cuts of eight pieces, two of them lost, the others ready on days that differ by cut."""
    book = Book()
    for number in range(cuts):
        ready = [f"l7 r{90 + 7 * place + number % 3}" for place in range(6)]
        lost = ["l7 x21", "l7 x28"] if number % 2 else ["l7 x14", "l7 x14"]
        book.pieces(book.cut(day=number), *ready, *lost, start=number)
    return book


def answer(folder, book: Book, question: Question, day: int = 260) -> TrialSize:
    async def work(db: Database) -> TrialSize:
        await fill(db, book, on_day(day))
        return size_of(question.checked(), await read_stock(db, on_day(day)))

    found: TrialSize = run(folder, work)
    return found


def test_a_share_comes_from_the_farms_own_log(tmp_path) -> None:
    found = answer(tmp_path, healed(8), Question("base", 2, "lost", 10, share=60, pieces=20))
    counts = [cuts_for_shares(Design(2, 8.0), 0.25, x / 100, 0.0) for x in (5, 10, 20)]
    assert found.sizes == [SizeFor(x, n) for x, n in zip((5, 10, 20), counts, strict=True)]
    assert (found.basis, found.missing, found.pieces_a_cut) == ("farm", [], pytest.approx(8.0))
    assert (found.share, found.alike, found.spread) == (0.25, 0.0, None)
    assert found.sentence == (
        f"{counts[1]} cuts show a difference of 10 in a hundred four times in five."
    )
    assert found.notes[0] == (
        "Reckoned with 8.0 pieces a cut and 25% lost, from 8 cuts and 64 pieces here, "
        "watched to day 180."
    )
    assert "falls out of the difference" in found.notes[1]


def test_days_come_from_the_farms_own_log(tmp_path) -> None:
    found = answer(tmp_path, healed(8), Question("mouths", 2, "sale", 14))
    days = [90 + 7 * place for place in range(6)]
    within = sum((day - sum(days) / 6) ** 2 for day in days) / 5
    assert found.basis == "farm"
    assert found.spread == pytest.approx(within**0.5)
    assert found.share == pytest.approx(0.25)
    asked = cuts_for_days(Design(2, 8.0), 0.75, 14.0, Spread(within))
    assert [one.difference for one in found.sizes] == [7, 14, 28]
    assert found.sizes[1].cuts == asked


def test_a_method_is_drawn_for_parts_and_says_so(tmp_path) -> None:
    found = answer(tmp_path, healed(8), Question("method", 2, "sale", 14))
    assert found.notes[1].startswith("A method is drawn for a whole part of a mother.")


def test_a_young_farm_gets_no_number_until_something_is_typed(tmp_path) -> None:
    asked = Question("base", 3, "lost", 10)
    found = answer(tmp_path, healed(3), asked)
    assert (found.basis, found.missing, found.sizes) == ("none", ["pieces", "share"], [])
    assert found.sentence.startswith(
        "The farm's records do not tell yet the pieces a cut gives and the share lost, so no number"
    )
    (tmp_path / "again").mkdir()
    typed = answer(tmp_path / "again", healed(3), asked._replace(share=20, pieces=9))
    counts = [cuts_for_shares(Design(3, 9.0), 0.2, x / 100, 0.0) for x in (5, 10, 20)]
    assert typed.basis == "typed"
    assert [one.cuts for one in typed.sizes] == counts
    assert "as typed" in typed.notes[0]
    assert "3 pairs" in " ".join(typed.notes)


def test_days_may_be_typed_too(tmp_path) -> None:
    asked = Question("base", 2, "cut", 20, share=20, pieces=8, spread=30)
    found = answer(tmp_path, Book(), asked)
    assert (found.basis, found.missing) == ("typed", ["pieces", "share", "spread"])
    assert found.sizes[1] == SizeFor(20, cuts_for_days(Design(2, 8.0), 0.8, 20.0, Spread(900.0)))


def test_a_share_that_cannot_be_is_said(tmp_path) -> None:
    found = answer(tmp_path, healed(8), Question("base", 2, "lost", 90))
    assert found.sizes[-1] == SizeFor(90, None)
    assert found.sentence == "No share lies 90 in a hundred from 25% lost. Write a smaller " + (
        "difference."
    )
    (tmp_path / "again").mkdir()
    tiny = answer(tmp_path / "again", healed(8), Question("base", 2, "lost", 1))
    assert tiny.sentence.startswith("It takes more than 2000 cuts")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"arms": 1}, "two to 6 arms"),
        ({"difference": 0}, "A difference of nothing"),
        ({"difference": 101}, "at most a hundred can be lost"),
        ({"endpoint": "sale", "difference": 1001}, "at most 1000 days"),
        ({"share": 101}, "none to a hundred"),
        ({"share": -1}, "none to a hundred"),
        ({"endpoint": "sale", "share": 100}, "none becomes ready"),
        ({"pieces": 1}, "a piece for each arm"),
        ({"endpoint": "cut", "spread": 0}, "spread in days"),
        ({"varies": "moon"}, "varies"),
    ],
)
def test_what_cannot_be_worked_out_is_refused_with_a_sentence(signed_in, change, said) -> None:
    answer = signed_in.client.get(AT, params={**LOST, **change})
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-request")
    assert said in answer.json()["detail"]


def test_a_lead_asks_and_nobody_else(farm) -> None:
    assert farm.client.get(AT, params=LOST).status_code == 401
    farm.claim()
    answer = farm.client.get(AT, params={**LOST, "share": 20, "pieces": 8})
    assert answer.status_code == 200
    assert answer.json()["basis"] == "typed"
    farm.sql("UPDATE staff SET role = 'keeper'")
    assert farm.client.get(AT, params=LOST).status_code == 403
