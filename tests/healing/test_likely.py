"""Likely days of getting ready: from records to dates, and when nothing is said yet."""

import asyncio
from datetime import date, timedelta

import numpy as np
import pytest

from api.healing import likely as likely_module
from api.healing import looks as looks_module
from api.healing.groups import Members
from api.healing.likely import likely
from api.healing.likely_notes import BY_LOOKS, NO_MODEL, NOT_BY_LOOKS
from tests.healing.farm_book import FIRST, Book, on_day
from tests.healing.likely_farm import farm, likely_of, read_of
from tests.healing.test_likely_notes import NOBODY

pytestmark = pytest.mark.filterwarnings("error")


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
    """In the order of ids with their places, whatever stands in the other trays."""
    book = farm()
    book.pieces(book.cut(day=70), *["l10 l20"] * 3, start=70, tray="tray.b", place="A1")
    found = likely_of(tmp_path, book, day=92, tray="tray.a")
    assert [(one.tray, one.place) for one in found.pieces] == [("tray.a", "A1")] * 4


def test_only_the_asked_trays_pieces_are_decoded_and_off_the_event_loop(tmp_path, monkeypatch):
    """Of seven pieces still healing three are in the tray; reading them and the checks of all must
    not hold up everybody else."""
    book, decoded, loops = farm(), [], []
    book.pieces(book.cut(day=70), *["l10 l20"] * 3, start=70, tray="tray.b", place="A1")
    decode, in_days = likely_module.decode_state, looks_module.in_days

    def watching(state):
        decoded.append(decode(state))
        loops.append(asyncio._get_running_loop())
        return decoded[-1]

    def watching_days(*asked):
        loops.append(asyncio._get_running_loop())
        return in_days(*asked)

    monkeypatch.setattr(likely_module, "decode_state", watching)
    monkeypatch.setattr(looks_module, "in_days", watching_days)
    _, watched, looks = read_of(tmp_path, book, 92, tray="tray.b")
    assert [one.tray for one in decoded] == ["tray.b"] * 3
    assert watched.states == decoded
    assert watched.chosen.tolist() == sorted(watched.chosen.tolist())
    assert looks
    assert loops == [None] * 4


def test_no_such_tray_is_an_answer(tmp_path):
    found = likely_of(tmp_path, farm(), day=92, tray="tray.b")
    assert (found.pieces, found.weeks, len(found.note)) == ([], [], 1)


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
