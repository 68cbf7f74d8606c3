"""Groups side by side from records: what is said on too little, on enough, and where groups are
tangled; the difference found is the one that was put in."""

from collections import Counter

import numpy as np
import pytest

from api.healing.asked import Asked
from api.healing.compare.counts import Count, barnard
from api.healing.comparison import compare
from api.healing.comparison_shapes import Comparison
from api.healing.errors import NotSettledError
from api.healing.groups import Grouped
from tests.healing.farm_book import Book, on_day, stock_of
from tests.healing.test_comparison_words import assert_plain, is_plain
from tests.healing.watched import Watch, groups_of

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
        f"{pair.one_name} beside {pair.other_name}: too little to compare them yet, 3 cuts beside "
        "3. It takes 4 cuts on each side."
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
    (tmp_path / "unseen").mkdir()
    book = Book()
    book.pieces(book.cut(), "")
    found = comparison_of(tmp_path / "unseen", book)
    assert (found.pairs, found.note) == (
        [], ["There is no group yet with pieces that were looked at: nothing to compare."],
    )  # fmt: skip


def test_a_pair_that_cannot_be_worked_out_is_said_so(tmp_path, monkeypatch):
    def fail(*_: object, **__: object) -> None:
        raise NotSettledError("not found")

    monkeypatch.setattr("api.healing.weigh.contrast", fail)
    found = comparison_of(tmp_path, farm(20))
    [pair] = found.pairs
    assert (pair.verdict, pair.crude, pair.ready_odds, found.note) == (
        "not-settled", None, None, [],
    )  # fmt: skip
    assert pair.sentence == (
        f"{pair.one_name} beside {pair.other_name}: could not be worked out. The arithmetic did "
        "not settle on one answer for these pieces, so none is given. Look for wrong dates among "
        "them."
    )


def test_the_note_says_how_it_was_done_and_after_whom(tmp_path):
    found = comparison_of(tmp_path, farm(20))
    note = " ".join(found.note)
    for source in ("Lipsitz", "Newcombe 1998", "Snowden", "Fay & Shaw 2010", "Holm 1979"):
        assert source in note
    assert "Barnard" not in note
    assert "2 p-values were worked out" in note


def alone(lost: int) -> Book:
    """Two methods of fourteen cuts of one piece each; of the second, `lost` are lost early."""
    book = Book()
    for number in range(28):
        second = number % 2
        late = 28 if second else 14
        story = "l7 x14" if second and number < 2 * lost else f"l7 l{late} r{late + 7}"
        book.pieces(book.cut(method=BOTH[second]), story)
    return book


def test_pieces_that_are_each_a_cut_are_counted_exactly(tmp_path):
    found = comparison_of(tmp_path, alone(4))
    [pair] = found.pairs
    day, name = pair.crude.at_day, {pair.one: pair.one_name, pair.other: pair.other_name}
    lost = barnard(Count(0, 14), Count(4, 14))
    assert (pair.lost_odds.p, pair.lost_odds.smallest) == (lost.p, lost.smallest)
    assert (
        f"None of the 14 pieces of {name[BOTH[0]]} was lost by day {day}: "
        "at most 24 % of such pieces are (95 %)."
    ) in pair.sentence
    assert "(the exact test of Barnard 1947)" in " ".join(found.note)
    assert "dealt anew" not in " ".join(found.note)


STORIES = {
    "never looked at": ["", "", ""],
    "one piece": ["l7"],
    "all lost": ["x7"] * 6,
    "none lost, all ready at the first check": ["r7"] * 6,
    "all censored": ["l7", "l14", "l21"],
    "ready beside lost": ["r7"] * 6 + ["x7"] * 6,
}


@pytest.mark.parametrize("one", STORIES)
@pytest.mark.parametrize("other", ["all lost", "none lost, all ready at the first check"])
def test_each_kind_of_little_is_an_answer(tmp_path, one, other):
    book = Book()
    for method, stories in zip(BOTH, (STORIES[one], STORIES[other]), strict=True):
        for _ in range(4):
            book.pieces(book.cut(method=method), *stories)
    found = comparison_of(tmp_path, book, day=60)
    assert len(found.pairs) == (0 if one == "never looked at" else 1)
    for pair in found.pairs:
        assert_plain(pair.sentence)
        assert pair.verdict not in ("too-few", "not-settled")
        both = {one, other} <= {"none lost, all ready at the first check", "ready beside lost"}
        assert (pair.crude.days is not None) is both
    assert all(map(is_plain, found.note))


def killing(cuts: int, pieces: int = 10) -> Book:
    """Two methods with as many pieces a cut; all of the second are lost."""
    book = Book()
    for number in range(2 * cuts):
        stories = ["l7 x14"] * pieces if number % 2 else ["l7 l21 r28"] * pieces
        book.pieces(book.cut(method=BOTH[number % 2]), *stories)
    return book


def test_a_method_that_kills_everything_is_told_apart(tmp_path):
    """By the day half of both together are ready, though the second's last look came before."""
    [pair] = comparison_of(tmp_path, killing(6)).pairs
    sign = 1.0 if pair.one == BOTH[0] else -1.0
    crude = pair.crude
    assert (pair.verdict, crude.at_day, crude.days) == ("differs", 28, None)
    assert (pair.adjusted, pair.adjusted_for) == (None, [])
    assert (crude.ready.least, crude.lost.least) == pytest.approx((sign * 100, -sign * 100))
    assert (pair.ready_odds.p, pair.lost_odds.p) == pytest.approx((2 / 924, 2 / 924))
    assert "half are ready" not in pair.sentence
    many = "more" if sign > 0 else "fewer"
    assert f": by day 28, 100 {many} of a hundred are ready (95 %: " in pair.sentence


@pytest.mark.parametrize("pieces", [1, 10])
def test_four_cuts_beside_four_are_compared_and_never_told_apart(tmp_path, pieces):
    """Two of the 70 ways to deal them, twice for ready and lost."""
    [pair] = comparison_of(tmp_path, killing(4, pieces)).pairs
    assert (pair.verdict, pair.lost_odds.several) == ("not-told-apart", pytest.approx(4 / 70))
    assert pair.sentence.endswith(
        "With so few cuts no difference could be told from chance: the smallest p that can come "
        "out is 0.057, corrected for all comparisons."
    )


def test_one_cut_alone_and_cuts_all_shared_are_answers(tmp_path):
    (tmp_path / "one").mkdir()
    book, cut = Book(), "method.band"
    made = book.cut(method=cut)
    for base in ("base.hex", "base.disc"):
        book.pieces(made, *["l7 r14"] * 12, base=base)
    [pair] = comparison_of(tmp_path / "one", book, "base").pairs
    assert (pair.verdict, "1 cut beside 1. It takes 4 cuts" in pair.sentence) == ("too-few", True)
    book = Book()
    for number in range(5):
        made = book.cut()
        book.pieces(made, "l7 r14", "l7 r21", "l14 x21", base="base.hex")
        book.pieces(made, "l7 r14", "l14 r28", f"l7 r{21 + 7 * (number % 2)}", base="base.disc")
    [pair] = comparison_of(tmp_path, book, "base").pairs
    assert pair.verdict in ("not-told-apart", "differs")
    assert_plain(pair.sentence)


def test_of_a_thousand_groups_the_largest_are_compared(tmp_path):
    ready = [(60, [Watch("ready", 7, 14)])]
    groups = groups_of(*((f"g{number}", ready * (2 if number else 3)) for number in range(1000)))
    found = Grouped(groups, groups[0], 0, Counter())
    stock = stock_of(tmp_path, Book(), 0)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("api.healing.comparison.grouped", lambda *_: found)
        answer = compare(stock, Asked(), on_day(0))
    assert (len(answer.pairs), {pair.verdict for pair in answer.pairs}) == (10, {"too-few"})
    assert answer.note == ["The 5 largest of 1000 groups are compared, two at a time."]
