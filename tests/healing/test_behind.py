"""The pieces behind a number, and the rows that other software can take."""

import csv
import io

import pytest

from api.healing.asked import Asked
from api.healing.behind import behind, harmless, rows_csv
from api.healing.plain_answer import answers
from api.healing.plain_table import read_table
from api.healing.report import work_out
from api.problems import BadRequest
from tests.healing.farm_book import Book, on_day, stock_of

pytestmark = pytest.mark.filterwarnings("error")
FATES = ("ready", "lost", "healing", "withdrawn", "never-checked", "missing", "lost-after-ready")


def farm() -> Book:
    book = Book()
    book.pieces(book.cut(), "l7 r14 x20", "l7 x14", "l14", "l7 o9", "", "l7 m9")
    book.pieces(book.cut(method="method.disc"), "l7 s9", "r5")
    late = book.cut(day=1)
    book.glue(late, day=20)
    return book


def test_each_number_of_the_report_has_so_many_pieces_behind_it(tmp_path):
    stock = stock_of(tmp_path, farm(), 30)
    found = work_out(stock, Asked(), on_day(30))
    assert found.all is not None
    for group in [*found.groups, found.all]:
        for fate in (*FATES, "pieces", "excluded"):
            listed = behind(stock, Asked(), group.key, fate)
            number = getattr(group, fate.replace("-", "_"))
            assert listed.total == len(listed.pieces) == number, (group.key, fate)
            met = {one.fate for one in listed.pieces}
            assert met <= {None if fate == "excluded" else fate} or fate not in FATES[:5]
    [left] = behind(stock, Asked(), "all", "excluded").pieces
    assert (left.fate, left.left, left.right) == (None, None, None)
    assert left.why == (
        "first recorded more than 2 days after the cut, when others may have been lost uncounted"
    )


def test_pages_follow_on_each_other(tmp_path, monkeypatch):
    monkeypatch.setattr("api.healing.behind.PAGE", 3)
    stock = stock_of(tmp_path, farm(), 30)
    first = behind(stock, Asked(), "all", "pieces")
    second = behind(stock, Asked(), "all", "pieces", first.after)
    third = behind(stock, Asked(), "all", "pieces", second.after)
    pages = [first.pieces, second.pieces, third.pieces]
    assert [len(page) for page in pages] == [3, 3, 2]
    assert (first.total, first.after, third.after) == (8, first.pieces[-1].id, None)
    ids = [one.id for page in pages for one in page]
    assert ids == sorted(set(ids))


def test_a_group_that_is_gone_is_said(tmp_path):
    with pytest.raises(BadRequest, match="no group 'method"):
        behind(stock_of(tmp_path, farm(), 30), Asked(), "method.none", "ready")


def test_rows_hold_each_piece_that_was_looked_at(tmp_path):
    stock = stock_of(tmp_path, farm(), 30)
    rows = list(csv.DictReader(io.StringIO(rows_csv(stock, Asked()))))
    seen = [tuple(row[name] for name in ("left", "right", "outcome", "seen_alive", "group"))
            for row in rows]  # fmt: skip
    assert sorted(seen) == sorted([
        ("7", "14", "ready", "", "Band saw"), ("7", "14", "lost", "", "Band saw"),
        ("14", "", "healing", "14", "Band saw"), ("7", "", "healing", "7", "Band saw"),
        ("7", "9", "lost", "", "Band saw"), ("7", "", "healing", "9", "Disc saw"),
        ("0", "5", "ready", "", "Disc saw"),
    ])  # fmt: skip
    assert len({row["cut"] for row in rows}) == 2
    assert {row["base"] for row in rows} == {"Hexagon 40"}


def test_groups_of_one_name_stay_apart_in_the_rows(tmp_path):
    book = Book()
    for key in ("method.band", "method.disc"):
        book.write(0, "define", {"list": "method", "fields": {"name": "Saw"}}, ("item", key))
        book.pieces(book.cut(method=key), "l7")
    rows = csv.DictReader(io.StringIO(rows_csv(stock_of(tmp_path, book, 30), Asked())))
    assert sorted(row["group"] for row in rows) == ["Saw (method.band)", "Saw (method.disc)"]


def test_the_plain_table_reads_the_rows_and_says_the_same(tmp_path):
    stock = stock_of(tmp_path, farm(), 30)
    theirs = {
        one.group: one for one in answers(read_table(rows_csv(stock, Asked()).encode())).groups
    }
    for group in work_out(stock, Asked(), on_day(30)).groups:
        found = theirs[group.name]
        assert (found.ready, found.lost, found.cuts) == (group.ready, group.lost, group.cuts)
        assert found.pieces == group.pieces - group.never_checked
        assert found.healing == group.healing + group.withdrawn


def test_no_cell_is_taken_for_a_formula():
    assert [harmless(cell) for cell in ("=1+1", "+7", "-x", "@a", "plain")] == [
        "'=1+1", "'+7", "'-x", "'@a", "plain",
    ]  # fmt: skip
