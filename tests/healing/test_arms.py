"""GET /api/healing?trial=: one trial's pieces by the arm that was drawn; a truth found again."""

import numpy as np
import pytest
from scipy.stats import norm

from api.database import Database
from api.healing.asked import Asked
from api.healing.comparison import compare
from api.healing.comparison_shapes import Comparison
from api.healing.odds import Watched
from api.healing.report import report
from api.healing.report_notes import NO_TRIAL_PIECES
from api.healing.shapes import Report
from api.healing.traits import UNKNOWN
from api.healing.weigh import paired
from tests.healing.compare.arms_drawn import typed
from tests.healing.farm_book import Book, fill, on_day, run, stock_of

TRIAL = "trial.bases"
ARMS = {"base.hex": 90, "base.disc": 118}
"""The day about which an arm's pieces become ready."""


def trial_report(folder, book: Book, trial: str = TRIAL, day: int = 300) -> Report:
    async def work(db: Database) -> Report:
        await fill(db, book, on_day(day))
        return await report(db, Asked("arm", trial=trial), on_day(day))

    found: Report = run(folder, work)
    return found


def begun() -> Book:
    book = Book()
    fields = {"name": "Bases", "varies": "base", "arms": list(ARMS)}
    for key in (TRIAL, "trial.other"):
        book.write(-10, "define", {"list": "trial", "fields": fields}, ("item", key))
    return book


def simulated(mothers: int) -> Book:
    """Each mother has a speed of her own; both arms are drawn within her. One piece in six was put
    on the other base than drawn, and counts for the arm that was drawn."""
    random, book = np.random.default_rng(11), begun()
    for mother in range(mothers):
        own, cut = random.normal(0, 12), book.cut(day=mother % 9, trial=TRIAL)
        for number, (arm, day) in enumerate([*ARMS.items()] * 3):
            done = next(base for base in ARMS if base != arm) if number == 5 else arm
            look = max(21, round(random.normal(day + own, 8) / 7) * 7)
            lost = random.random() < (0.1 if arm == "base.hex" else 0.3)
            story = f"l{look - 14} x{look - 7}" if lost else f"l{look - 7} r{look}"
            book.pieces(cut, story, start=mother % 9, base=done, arm=arm)
    return book


def test_the_arms_truth_is_found_again(tmp_path) -> None:
    book = simulated(40)
    plain = book.cut(method="method.disc")
    book.pieces(plain, "l7 r14", "l7 r14", base="base.disc", arm="base.disc")
    found = trial_report(tmp_path, book)
    groups = {group.key: group for group in found.groups}
    assert (found.by, sorted(groups)) == ("arm", sorted(ARMS))
    assert {key: (one.name, one.pieces, one.cuts) for key, one in groups.items()} == {
        "base.hex": ("Hexagon 40", 120, 40), "base.disc": ("Disc 25", 120, 40),
    }  # fmt: skip
    for key, lost in (("base.hex", 0.1), ("base.disc", 0.3)):
        loss, middle = groups[key].loss, groups[key].median
        assert loss is not None
        assert middle is not None
        assert middle.high is not None
        assert loss.low <= lost <= loss.high
        # Half of all that were cut: the 0.5 / (1 - lost) quantile of days found by weekly looks.
        half = norm.ppf(0.5 / (1 - lost), ARMS[key], (12**2 + 8**2 + 4) ** 0.5)
        assert middle.low - 3.5 <= half <= middle.high + 3.5
    assert [note for note in found.note if "cannot be separated" in note] == []


def test_what_was_not_drawn_stands_apart(tmp_path) -> None:
    book = begun()
    cut = book.cut(trial=TRIAL)
    book.pieces(cut, "l7", base="base.hex", arm="base.hex")
    book.pieces(cut, "l7", base="base.hex")
    book.pieces(book.cut(trial="trial.other"), "l7", arm="base.hex")
    found = trial_report(tmp_path, book)
    assert sorted((g.key, g.name, g.pieces) for g in found.groups) == [
        (UNKNOWN, "Not drawn", 1), ("base.hex", "Hexagon 40", 1),
    ]  # fmt: skip
    assert "others may heal unlike it" in found.groups[0].notes[0]


def test_a_trial_without_pieces_is_an_answer(tmp_path) -> None:
    found = trial_report(tmp_path, begun())
    assert (found.groups, found.note) == ([], [NO_TRIAL_PIECES])


@pytest.mark.anyio
async def test_both_databases_give_the_same(db: Database) -> None:
    book = begun()
    cut = book.cut(trial=TRIAL)
    book.pieces(cut, "l7 r14", base="base.hex", arm="base.hex")
    book.pieces(cut, "l7", base="base.disc", arm="base.disc")
    await fill(db, book, on_day(30))
    found = await report(db, Asked("arm", trial=TRIAL), on_day(30))
    assert [(g.key, g.ready) for g in found.groups] == [("base.disc", 0), ("base.hex", 1)]


def test_arms_are_compared_within_their_mothers(tmp_path) -> None:
    """True: the disc is 28 days later, less the sixth piece of each three that went on the other
    base, and loses 20 in a hundred more by drawing, less for the same reason."""
    book = simulated(24)

    stock = stock_of(tmp_path, book, 300)
    [pair] = compare(stock, Asked("arm", trial=TRIAL), on_day(300)).pairs
    sign = 1 if pair.one == "base.disc" else -1
    assert pair.within is not None
    days, lost = pair.within.days, pair.within.lost
    assert min(sign * days.low, sign * days.high) < 28 < max(sign * days.low, sign * days.high) + 10
    assert sign * days.least > 15
    assert sign * lost.least > 0
    # What makes one mother fast and another slow falls out: tighter than arms side by side.
    assert days.high - days.low < pair.crude.days.high - pair.crude.days.low
    assert (pair.verdict, pair.not_adjusted) == ("differs", [])
    assert pair.drawn.startswith(
        "Within each mother, as it was drawn: those that got ready did so "
    )
    assert pair.sentence.startswith(f"{pair.one_name} beside {pair.other_name}: half are ready ")


def pairs_of_arms(folder, book: Book) -> Comparison:
    return compare(stock_of(folder, book, 300), Asked("arm", trial=TRIAL), on_day(300))


def test_the_odds_of_arms_deal_them_within_each_mother(tmp_path) -> None:
    """One piece an arm of five mothers, the disc later in each: 2 of 2^5 ways to draw them, where
    ten cuts dealt whole would have 2 of 252."""
    book = begun()
    for number in range(5):
        cut = book.cut(trial=TRIAL)
        for arm, late in (("base.hex", 0), ("base.disc", 42)):
            day = 28 + 14 * number + late
            book.pieces(cut, f"l{day - 7} r{day}", base=arm, arm=arm)
    [pair] = pairs_of_arms(tmp_path, book).pairs
    assert (pair.ready_odds.p, pair.ready_odds.smallest) == (2 / 32, 2 / 32)
    assert pair.crude.days is None
    assert pair.within.days is None


def test_what_was_not_drawn_is_no_arm(tmp_path) -> None:
    """More of it than of either arm, and later than both."""
    book = begun()
    for number in range(5):
        cut = book.cut(trial=TRIAL)
        for arm in ARMS:
            book.pieces(cut, *["l21 r28", f"l21 l28 r{35 + 7 * (number % 2)}"], base=arm, arm=arm)
        book.pieces(cut, *["l21 l91 r98"] * 9, base="base.hex")
    found = pairs_of_arms(tmp_path, book)
    assert [{pair.one, pair.other} for pair in found.pairs] == [set(ARMS)]
    assert "2 p-values were worked out" in " ".join(found.note)


def test_a_mother_too_young_is_no_pair_within() -> None:
    """Nothing of her is open any more, as only of young mothers that went badly all is known."""
    old = [["r19-20 x3-4 c60"] * 4, ["r29-30 x3-4 c60"] * 4]
    sides = [
        Watched(typed(*each, young), np.array([60] * 12 + [9] * 3), np.array([60] * 12 + [9] * 3))
        for each, young in zip(old, ("x1-2 x1-2 x1-2", "r5-6 r5-6 r5-6"), strict=True)
    ]
    without = [Watched(typed(*each), np.full(12, 60), np.full(12, 60)) for each in old]
    assert paired(*sides, 30) == paired(*without, 30)
    assert paired(*sides, 30).lost.least == 0.0
    assert paired(*sides, 61) is None
