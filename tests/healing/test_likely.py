"""Likely days of getting ready: from records to dates, and when nothing is said yet."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from api.database import Database
from api.healing import likely as likely_module
from api.healing.groups import Members
from api.healing.likely import (
    BY_LOOKS,
    NO_MODEL,
    NOT_BY_LOOKS,
    Watched,
    likely,
    read_watched,
    starts_of,
)
from api.healing.likely_shapes import Likely
from api.healing.looks import Look, read_looks
from api.healing.predict.chance import Chances, predict
from api.healing.rows import MAX_DAY
from api.healing.stock import Stock, read_stock
from tests.healing.farm_book import FIRST, Book, fill, on_day, run

pytestmark = pytest.mark.filterwarnings("error")


def read_of(
    folder, book: Book, day: int, tray: str | None = None, endpoint: str = "sale",
    today: str | None = None,
) -> tuple[Stock, Watched, list[Look]]:  # fmt: skip
    """What is read on the evening of `day`, from the log, as the address reads it."""

    async def work(db: Database) -> tuple[Stock, Watched, list[Look]]:
        await fill(db, book, on_day(day))
        stock = await read_stock(db, on_day(day), ids=True)
        stock = replace(stock, today=today or stock.today)
        watched = await read_watched(db, stock, endpoint, tray)
        return stock, watched, await read_looks(
            db, starts_of(stock, watched), stock.facility.zone
        )  # fmt: skip

    return run(folder, work)


def likely_of(folder, book: Book, day: int, endpoint: str = "sale", **more) -> Likely:
    """The answer on the evening of `day`."""
    stock, watched, looks = read_of(folder, book, day, endpoint=endpoint, **more)
    return likely(stock, endpoint, on_day(day), watched, looks)


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
    assert len(likely_of(tmp_path, farm(), 92, today="2026-03-20").pieces) == 4


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


@pytest.mark.parametrize(
    ("column", "value"), [("ever", 0.005), ("high", MAX_DAY + 1), ("outside", True)]
)
def test_what_has_hardly_a_chance_or_no_end_is_given_no_date(tmp_path, monkeypatch, column, value):
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


def test_too_early_is_said(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 r14", "l7", "l14")
    assert likely_of(tmp_path, book, day=20).note == [
        "Too early to say: 1 of 10 pieces that it takes were seen getting ready."
    ]


def test_an_empty_farm_has_nothing_to_come(tmp_path):
    assert likely_of(tmp_path, Book(), day=0).pieces == []


STAGES = ("none", "bud", "open", "feeding")


def shown(told: bool) -> Book:
    """Twenty cuts whose pieces are ready on day 30 or on day 60: mouths show which, or nothing. Two
    young pieces of day 100 that were last seen on day 20, one with its mouth open."""
    random, book = np.random.default_rng(5), Book()
    for _ in range(20):
        cut = book.cut()
        for ready in random.choice([30, 60], 6) + random.integers(-4, 5, 6):
            piece = book.glue(cut)
            for day in range(6, int(ready), 7):
                stage = int(4 * day / ready) if told else int(random.integers(0, 4))
                body = {"mouth": STAGES[stage], "encrustation": stage}
                book.write(day, "check", body, ("piece", piece))
            book.write(int(ready), "ready", {"for": "sale"}, ("piece", piece))
    cut = book.cut(day=100)
    for stage in (1, 2):
        body = {"mouth": STAGES[stage], "encrustation": stage}
        book.write(120, "check", body, ("piece", book.glue(cut, day=100)))
    return book


def test_a_mouth_that_is_further_on_is_likely_ready_sooner(tmp_path):
    found = likely_of(tmp_path, shown(told=True), day=121)
    assert found.by_looks
    assert BY_LOOKS in found.note
    assert [(one.mouth, one.encrustation, one.looked) for one in found.pieces] == [
        ("open", 2, "2026-05-01"), ("bud", 1, "2026-05-01"),
    ]  # fmt: skip
    soon, late = (date.fromisoformat(one.day) for one in found.pieces)
    assert (late - soon).days >= 14


def test_mouths_that_tell_nothing_are_not_used_and_that_is_said(tmp_path):
    found = likely_of(tmp_path, shown(told=False), day=121)
    assert not found.by_looks
    assert NOT_BY_LOOKS in found.note
    assert found.pieces[0].day == found.pieces[1].day


def many(stories: list[str], each: int = 8, cuts: int = 6, methods: int = 1) -> Book:
    book = Book()
    for n in range(cuts):
        cut = book.cut(method=f"method.{n % methods}" if methods > 1 else "method.band")
        book.pieces(cut, *(stories[k % len(stories)] for k in range(each)))
    return book


NOBODY = "No piece is healing here that was looked at since its cut."
ODD = {
    "all lost": (["l5 x9"], 6, NOBODY),
    "all ready at the first check": (["r14"], 6, NOBODY),
    "never checked": ([""], 6, NOBODY),
    "all healing": (["l5 l12"], 6, "Too early to say: 0 of 10"),
    "one piece": (["l5"], 1, "Too early to say: 0 of 10"),
}


@pytest.mark.parametrize("endpoint", ["sale", "cut"])
@pytest.mark.parametrize("name", ODD)
def test_where_nothing_can_be_said_why_is(tmp_path, name, endpoint):
    stories, cuts, said = ODD[name]
    found = likely_of(tmp_path, many(stories, 8 if cuts > 1 else 1, cuts), 40, endpoint=endpoint)
    if endpoint == "cut" and name == "all ready at the first check":
        said = "Too early to say: 0 of 10"
    assert (found.pieces, found.weeks, found.already) == ([], [], 0.0)
    [note] = found.note
    assert note.startswith(said)


SOME = {
    "none lost": (["l7 r14", "l7 r21", "l7"], 6),
    "all others at the first check": (["r14", "x14", "r10", "l7"], 6),
    "one cut": (["l7 r14", "l7 r21", "l7"], 1),
    "ready to be cut again": (["l7 r14 a60", "l7 r21 a70", "l7 r20 l60"], 6),
}


@pytest.mark.parametrize("name", SOME)
def test_where_much_is_missing_numbers_are_such_as_can_be(tmp_path, name):
    stories, cuts = SOME[name]
    endpoint = "cut" if "again" in name else "sale"
    book = many(stories, 48 // cuts if cuts > 1 else 24, cuts)
    found = likely_of(tmp_path, book, 80, endpoint=endpoint)
    assert found.pieces
    assert len(found.weeks) == 12
    assert 0.0 <= found.already <= len(found.pieces)
    for piece in found.pieces:
        assert 0.0 <= piece.now <= piece.ever <= 1.0
        assert (piece.day is None) == (piece.low is None) == (piece.high is None) == piece.outside
        assert piece.outside or piece.low <= piece.day <= piece.high <= "2100"
    for week in found.weeks:
        assert 0 <= week.low <= week.mean + 1e-9 <= week.high + 1 <= len(found.pieces) + 1


def test_more_methods_and_cuts_than_can_be_told_apart_is_said(tmp_path):
    stock, watched, looks = read_of(tmp_path, farm(), 92)
    seen = watched.seen
    at, own = np.tile(seen.at, 20), np.arange(20 * seen.size)
    every = seen.table._replace(**{
        name: getattr(seen.table, name)[at] for name in ("place", "cut", "reason", "sitting", "age")
    }, watch=seen.table.watch.select(at), cluster=own)  # fmt: skip
    traits = seen.table.traits.select(at)
    traits.codes["method"], traits.values["method"] = own, [f"m{one:04}" for one in own]
    many_more = Members("all", "All", every._replace(traits=traits), own, own[:0])
    found = likely(stock, "sale", on_day(92), watched._replace(seen=many_more), looks)
    assert (found.note, found.pieces) == ([NO_MODEL], [])
