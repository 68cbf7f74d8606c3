"""Groups side by side from records: what is said on too little, on enough, and where groups are
tangled; the difference found is the one that was put in."""

import numpy as np
import pytest

from api.healing.asked import Asked
from api.healing.comparison import compare
from api.healing.comparison_shapes import Comparison, Diff, Odds, Sizes
from api.healing.comparison_words import pair_sentence
from api.healing.groups import Members
from tests.healing.farm_book import Book, on_day, stock_of

pytestmark = pytest.mark.filterwarnings("error")
BOTH = ("method.band", "method.disc")


def comparison_of(folder, book: Book, by: str = "method", day: int = 120) -> Comparison:
    return compare(stock_of(folder, book, day), Asked(by), on_day(day))


def farm(later: int, cuts: int = 6, bases: tuple[str, str] = ("base.hex", "base.hex")) -> Book:
    """Two methods; pieces of the second are ready `later` days later. Two mothers take turns."""
    random = np.random.default_rng(5)
    book = Book()
    mothers = [book.colony(), book.colony()]
    for number in range(2 * cuts):
        second = number % 2
        cut = book.cut(mothers[(number // 2) % 2], BOTH[second])
        ready = 40 + later * second + random.integers(-6, 7) + 3 * random.integers(-2, 3, 5)
        stories = [f"l{day - 7} r{day}" for day in ready] + ["l7 x14"] * int(random.integers(0, 2))
        book.pieces(cut, *stories, base=bases[second])
    return book


def test_a_difference_that_was_put_in_is_found_and_said(tmp_path):
    [pair] = comparison_of(tmp_path, farm(20)).pairs
    assert pair.verdict == "differs"
    assert pair.crude is not None
    assert pair.crude.days is not None
    assert pair.ready_odds is not None
    days = pair.crude.days
    assert abs(days.least) >= 10
    assert days.low < -20 < days.high or days.low < 20 < days.high
    assert pair.ready_odds.several <= 0.05
    assert "The difference in readiness is more than chance deals" in pair.sentence
    assert pair.warnings == []


def test_no_difference_is_not_called_one(tmp_path):
    [pair] = comparison_of(tmp_path, farm(0)).pairs
    assert pair.verdict == "not-told-apart"
    assert pair.sentence.endswith("they are not told apart yet.")
    assert pair.crude.ready.low < 0 < pair.crude.ready.high


def test_what_goes_with_the_method_cannot_be_told_from_it(tmp_path):
    [pair] = comparison_of(tmp_path, farm(20, bases=("base.hex", "base.disc"))).pairs
    assert pair.verdict == "cannot-separate"
    assert pair.not_adjusted == ["base"]
    assert pair.warnings == ["Every cut of Band saw has the base 'Hexagon 40'."] or (
        pair.warnings == ["Every cut of Disc saw has the base 'Disc 25'."]
    )


def test_too_few_cuts_are_not_compared_and_it_says_how_many_it_takes(tmp_path):
    [pair] = comparison_of(tmp_path, farm(20, cuts=3)).pairs
    assert (pair.verdict, pair.crude, pair.ready_odds) == ("too-few", None, None)
    assert pair.sentence == (
        f"{pair.one_name} and {pair.other_name}: too little to compare them, 3 cuts and 3. "
        "It takes 4 cuts on each side."
    )


def test_one_group_and_none_are_each_an_answer(tmp_path):
    (tmp_path / "none").mkdir()
    assert comparison_of(tmp_path / "none", Book(), day=0).pairs == []
    book = Book()
    book.pieces(book.cut(), "l7 r14")
    found = comparison_of(tmp_path, book)
    assert (found.pairs, found.note) == (
        [], ["There is only one group with pieces that were looked at: nothing to compare."],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("days", "said"),
    [
        (Diff(-14.0, -12.0, -30.4, 6.0), "half are ready 13 days earlier (95 %: 30 earlier to 6"),
        (Diff(None, None, 11.0, None), "half are ready at least 11 days later;"),
        (Diff(-20.0, -20.0, None, -3.0), "20 days earlier (95 %: at least 3 days earlier)"),
        (Diff(-20.0, -20.0, None, 1.0), "20 days earlier (95 %: at most 1 day later)"),
        (Diff(-20.0, -20.0, None, 0.2), "20 days earlier (95 %: not later)"),
        (Diff(0.0, 0.0, -3.0, 4.0), "half are ready on the same day (95 %: 3 earlier to 4 later)"),
        (None, "the day half are ready is not known on both sides"),
    ],
)
def test_the_size_is_said_in_days_and_in_pieces_of_a_hundred(days, said):
    share = Diff(8.0, 8.0, -4.6, 21.0)
    odds = Odds(0.2, 0.4, 0.001)
    words = pair_sentence(
        Members("a", "One"), Members("b", "Two"), "not-told-apart",
        Sizes(90, days, share, share), (odds, odds), "sale", [],
    )  # fmt: skip
    assert said in words
    assert "by day 90 8 more of a hundred ready (95 %: 5 fewer to 21 more)" in words
