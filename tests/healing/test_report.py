"""The healing report from records pushed into a database: whole groups, sentences, exclusions."""

import os
import re
import subprocess
import sys
import threading
from pathlib import Path

import msgspec
import pytest

from api.healing import report as report_module
from api.healing.errors import NotSettledError
from api.healing.sentence import NO_PIECES
from api.healing.shapes import CurvePoint, DaysSeen, Group, Half, MedianRange, Report
from tests.healing.farm_book import Book, only, report_of
from tests.reference.published_data import FORTY_PIECES

pytestmark = pytest.mark.filterwarnings("error")

YOUNG = (
    "No share lost is given yet: that takes cuts watched for 30 days, "
    "with at least half of the pieces in them."
)
ONE_MOTHER = "All are from one mother: its part and the method's cannot be separated."


def forty_pieces() -> Book:
    """The published pieces as records: a look at the left end, the event at the right one."""
    book = Book()
    for cut_text in FORTY_PIECES:
        cut = book.cut()
        for piece in cut_text.split():
            kind, *days = re.findall(r"[a-z]|\d+", piece)
            look = f"l{days[0]} " if days[0] != "0" else ""
            book.pieces(cut, look + ({"r": "r", "x": "x"}[kind] + days[1] if days[1:] else ""))
    return book


def whole(made_at: str, groups: list[Group], note: list[str]) -> Report:
    """A report by method of which there is nothing to narrow."""
    return Report("method", "sale", made_at, groups, None, note, [], None, None, None, [])


def plain(**more: object) -> Group:
    """A group of band-saw pieces of which only the range is shown; `more` is what it has."""
    numbers = {name: 0 for name in Group.__struct_fields__ if Group.__annotations__[name] is int}
    words = {
        "key": "method.band",
        "name": "Band saw",
        "unit": "cut",
        "show": "range",
        "curve": [],
        "notes": [],
    }
    nothing = dict.fromkeys(Group.__struct_fields__)
    return Group(**{**nothing, **numbers, **words, **more})  # type: ignore[arg-type]


def test_published_pieces_give_the_published_curve(tmp_path):
    """MLEcens 0.1-7.1 (R) on the same forty pieces: its masses, to their printed 8 digits."""
    group = only(report_of(tmp_path, forty_pieces()))
    # ready (18,19] .15, (30,31] .15266073, (38,39] .12139487, (39,40] .09441823;
    # lost (4,6] .125, (20,23] .03511985, (31,32] .05163995
    steps = [(0, 0, 0, 0, 0), (5, 0, 0, 0, 0.125), (6, 0, 0, 0.125, 0.125),
             (19, 0.15, 0.15, 0.125, 0.125), (21, 0.15, 0.15, 0.125, 0.16011985),
             (23, 0.15, 0.15, 0.16011985, 0.16011985),
             (31, 0.30266073, 0.30266073, 0.16011985, 0.16011985),
             (32, 0.30266073, 0.30266073, 0.2117598, 0.2117598),
             (39, 0.4240556, 0.4240556, 0.2117598, 0.2117598),
             (40, 0.51847383, 0.51847383, 0.2117598, 0.2117598),
             (46, 0.51847383, 0.51847383, 0.2117598, 0.2117598)]  # fmt: skip
    found = [msgspec.structs.astuple(point) for point in group.curve]
    assert [pytest.approx(step, abs=1e-8) for step in steps] == found
    # Watched on day 46: the pieces found ready on days 46, 53, 56, 59 and 61; on day 47 only four.
    assert (group.show, group.stops_at, group.estimate) == ("full", 47, Half(39, 40))
    assert group.median == MedianRange(34, None)
    assert group.sentence == (
        "Band saw: half are ready by day 40, 95 % at least day 34; 8 of 40 lost."
    )


def test_a_group_of_which_little_is_known_is_counts_and_the_range_seen(tmp_path):
    book = Book()
    cut = book.cut()
    book.pieces(cut, "l7 r21", "l14 r28", "l28 r35", "l14 x21", "l35", "l21 s35", "l7 o9")
    found = report_of(tmp_path, book)
    notes = [
        ONE_MOTHER,
        "1 piece was sold, moved on or cut again before being recorded ready, and counted up to "
        "the last look. If the best ones go first, the others make healing look slower than it is.",
    ]
    assert found == whole(
        "2026-02-05T15:00:00.000Z",
        [plain(pieces=7, cuts=1, ready=3, lost=1, healing=2, withdrawn=1, gap_days=14,
               sentence="Band saw: 3 of 7 ready, first seen ready on days 21-35; 1 of 7 lost; "
                        "one cut only. Dates are good to ± 14 days.",
               observed=DaysSeen(21, 35), found_lost=DaysSeen(21, 21), notes=notes)],
        [],
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stories", "counts", "sentence"),
    [
        (["l7 r14"], {"ready": 1, "observed": DaysSeen(14, 14), "gap_days": 7},
         "Band saw: 1 of 1 ready, first seen ready on day 14; none lost; one cut only."),
        (["l4 x7"], {"lost": 1, "found_lost": DaysSeen(7, 7)},
         "Band saw: the only piece lost, found so on day 7; one cut only."),
        (["l2 x5", "l7 x14"], {"lost": 2, "found_lost": DaysSeen(5, 14)},
         "Band saw: all 2 lost, found so on days 5-14; one cut only."),
        (["l7 l14", "l7"], {"healing": 2, "gap_days": 7},
         "Band saw: none of 2 ready yet; none lost; one cut only."),
        (["", ""], {"never_checked": 2, "cuts": 0},
         "Band saw: 2 pieces, none checked yet."),
        (["l7", ""], {"healing": 1, "never_checked": 1},
         "Band saw: none of 2 ready yet; none lost; one cut only; 1 never checked."),
    ],
)  # fmt: skip
def test_one_piece_all_lost_all_healing_never_checked_are_each_an_answer(
    tmp_path, stories, counts, sentence
):
    book = Book()
    book.pieces(book.cut(), *stories)
    found = report_of(tmp_path, book, day=20)
    group = msgspec.structs.replace(only(found), notes=[])
    assert group == plain(**{"pieces": len(stories), "cuts": 1, **counts, "sentence": sentence})


def test_all_withdrawn_is_an_answer(tmp_path):
    book = Book()
    for _ in range(4):
        book.pieces(book.cut(), *["l7 o9"] * 3)
    group = only(report_of(tmp_path, book))
    assert (group.pieces, group.withdrawn, group.show, group.curve) == (12, 12, "range", [])
    assert group.sentence == "Band saw: none of 12 ready yet; none lost."


def test_an_empty_farm_says_what_to_do_next(tmp_path):
    found = report_of(tmp_path, Book(), day=0)
    assert found == whole("2026-01-01T15:00:00.000Z", [], [NO_PIECES])


def test_a_colony_and_a_piece_whose_gluing_was_taken_back_are_no_pieces(tmp_path):
    book = Book()
    [piece] = book.pieces(book.cut(), "l7")
    glue = next(r["id"] for r in book.records if r["subject"]["id"] == piece)
    book.retract(glue, 8)
    assert report_of(tmp_path, book).groups == []


def test_two_or_three_cuts_give_a_curve_without_an_interval(tmp_path):
    book = Book()
    for _ in range(3):
        book.pieces(book.cut(), "l7 r14", "l14 r21", "l14 r21", "l7 x14")
    group = only(report_of(tmp_path, book))
    assert (group.show, group.cuts, group.ready) == ("curve", 3, 9)
    assert (group.median, group.middle, group.band, group.stops_at) == (None, None, None, None)
    # Looks on shared days: the life table. 3 of 12 ready by 14, 6 more by 21; 3 lost by 14.
    # Nothing is known between looks, so low and high part there.
    points = [(0, 0, 0, 0, 0), (8, 0, 0.25, 0, 0.25), (14, 0.25, 0.25, 0.25, 0.25),
              (15, 0.25, 0.75, 0.25, 0.25), (21, 0.75, 0.75, 0.25, 0.25)]  # fmt: skip
    assert [msgspec.structs.astuple(p) for p in group.curve] == [
        pytest.approx(p, abs=1e-8) for p in points
    ]
    assert isinstance(group.curve[0], CurvePoint)
    assert group.sentence == (
        "Band saw: half are ready by day 21; too few cuts (3) to say how sure that is; "
        "3 of 12 lost."
    )


def test_enough_cuts_but_few_ready_says_so(tmp_path):
    book = Book()
    for _ in range(6):
        book.pieces(book.cut(), "l7 r14", "l14")
    group = only(report_of(tmp_path, book))
    assert (group.show, group.ready, group.band) == ("curve", 6, None)
    assert group.sentence == (
        "Band saw: half are ready by day 14; too few ready (6 of 10) to say how sure that is; "
        "none lost."
    )


def test_ready_to_be_cut_again_is_an_answer_of_its_own(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 a14 r28", "l7 a21", purpose="hold")
    found = only(report_of(tmp_path, book, endpoint="cut"))
    assert found.sentence == (
        "Band saw: 2 of 2 ready to be cut again, first seen ready to be cut again on days 14-21; "
        "none lost; one cut only. Dates are good to ± 14 days."
    )


def test_taking_back_a_readiness_rebuilds_the_answer(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7 r14 l21")
    ready = next(r["id"] for r in book.records if r["kind"] == "ready")
    book.retract(ready, 22)
    group = only(report_of(tmp_path, book))
    assert (group.ready, group.healing, group.observed, group.gap_days) == (0, 1, None, 14)


def test_a_curve_that_does_not_settle_is_not_shown_and_breaks_nothing(tmp_path, monkeypatch):
    def never(*_):
        raise NotSettledError("gap 1e-3 after 500 steps")

    monkeypatch.setattr(report_module, "fit_incidence", never)
    group = only(report_of(tmp_path, forty_pieces()))
    assert (group.show, group.curve, group.band, group.median) == ("range", [], None, None)
    assert group.notes[0] == (
        "The curve could not be worked out to its promised accuracy and is not shown."
    )
    assert group.sentence == (
        "Band saw: 20 of 40 ready, first seen ready on days 19-61; 8 of 40 lost."
    )


def test_the_arithmetic_runs_off_the_thread_that_answers_pushes(tmp_path, monkeypatch):
    where: list[int] = []
    real = report_module.work_out

    def noted(*arguments):
        where.append(threading.get_ident())
        return real(*arguments)

    monkeypatch.setattr(report_module, "work_out", noted)
    report_of(tmp_path, forty_pieces())
    assert len(where) == 1
    assert where[0] != threading.get_ident()


@pytest.mark.parametrize(("given", "used"), [(None, "1"), ("3", "3")])
def test_linear_algebra_is_told_to_use_one_thread_unless_told_otherwise(given, used):
    environment = {k: v for k, v in os.environ.items() if k != "OPENBLAS_NUM_THREADS"}
    environment |= {"OPENBLAS_NUM_THREADS": given} if given else {}
    code = (
        "import sys, os, api.healing; assert 'numpy' not in sys.modules; "
        "import api.healing.report; print(os.environ['OPENBLAS_NUM_THREADS'])"
    )
    ran = subprocess.run([sys.executable, "-c", code], cwd=Path(__file__).parents[2],
                         env=environment, capture_output=True, text=True, check=True)  # fmt: skip
    assert ran.stdout.strip() == used
