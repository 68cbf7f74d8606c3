"""What the healing arithmetic reads of a piece follows its records, however they come."""

import pytest

from api.database import Database
from api.healing.facts import Facts, read_facts, read_words
from api.stock.facts import FIELDS, Kind, kind_text, ordinal, read_kind
from api.stock.replay import replay
from tests.healing.farm_book import FIRST, Book, fill, on_day

pytestmark = pytest.mark.anyio
DAY = FIRST.toordinal()


async def rows_of(db: Database, book: Book) -> dict[str, dict[str, object]]:
    """Each glued piece's facts by name, with its words in place of their numbers; 0s left out."""
    await fill(db, book, on_day(book.last_day))
    async with db.snapshot() as tables:
        text, pieces = await read_facts(tables, ids=True)
        words = await read_words(tables)
    facts, found = Facts.read(text), {}
    for at, piece in enumerate(pieces.split(",") if pieces else []):
        one = {name: int(getattr(facts, name)[at]) for name in FIELDS}
        one |= {name: words.get(one[name], 0) for name in ("cut", "kind", "tray")}
        found[piece] = {name: value for name, value in one.items() if value}
    return found


def test_the_columns_are_the_fields():
    assert Facts._fields == FIELDS
    assert [column.size for column in Facts.read("")] == [0] * len(FIELDS)


async def test_a_row_says_what_the_records_say(db: Database):
    book = Book()
    cut = book.cut()
    body = {"base": "base.hex", "tray": "tray.a", "place": "A1", "size_mm": 24, "encrustation": 1,
            "mouths_kept": 2}  # fmt: skip
    piece = book.see(book.glue(cut, 1, **body), "l7 s9 l14 r21 a28 m30")
    rows = await rows_of(db, book)
    assert rows == {piece: {
        "cut": cut, "kind": kind_text(Kind("base.hex", "sale", 2, 24, 1, None)), "tray": "tray.a",
        "begun_at": on_day(1) - 10 * 3_600_000, "begun_on": DAY + 1,
        "sale_after": DAY + 14, "sale_by": DAY + 21, "again_after": DAY + 21, "again_by": DAY + 28,
        "loss_after": DAY + 28, "loss_by": DAY + 30, "missing": 1,
        "looked": DAY + 28, "looked_before": DAY + 21, "alive": DAY + 28,
    }}  # fmt: skip
    assert (await replay(db)).differences == []


async def test_what_was_decided_at_gluing_stays(db: Database):
    """Moved to another tray, meant for something else, cut itself and given another base."""
    book = Book()
    piece = book.glue(book.cut(), 0, base="base.disc", tray="tray.a", place="A1")
    book.write(3, "move", {"tray": "tray.b", "place": "B1"}, ("piece", piece))
    book.write(4, "purpose", {"purpose": "hold"}, ("piece", piece))
    again = book.cut(piece, day=20)
    book.write(20, "cut_end", {"remains": "new-base", "base": "base.hex"}, ("cut", again))
    [row] = (await rows_of(db, book)).values()
    assert (row["tray"], read_kind(str(row["kind"]))) == (
        "tray.a", Kind("base.disc", "sale", None, None, None, None),
    )  # fmt: skip
    assert row["gone_on"] == DAY + 20
    assert (await replay(db)).differences == []


async def test_a_base_given_after_a_cut_that_was_taken_back_changes_nothing(db: Database):
    book = Book()
    piece = book.glue(book.cut(), 0, base="base.disc")
    again = book.cut(piece, day=20)
    record = book.records[-1]["id"]
    book.write(20, "cut_end", {"remains": "new-base", "base": "base.hex"}, ("cut", again))
    book.retract(record, 21)
    [row] = (await rows_of(db, book)).values()
    assert read_kind(str(row["kind"])).base == "base.disc"


async def test_a_gluing_that_was_taken_back_leaves_no_row(db: Database):
    book = Book()
    piece = book.glue(book.cut())
    glued = book.records[-1]["id"]
    assert list(await rows_of(db, book)) == [piece]
    later = Book()
    later.records, later.last_day = book.records, 2
    later.retract(glued, 2)
    assert await rows_of_more(db, later) == {}
    assert (await replay(db)).differences == []


async def rows_of_more(db: Database, book: Book) -> dict[str, dict[str, object]]:
    """The same, of a book of which all but the last record has been pushed."""
    new = Book.__new__(Book)
    new.records, new.last_day = book.records[-1:], book.last_day
    return await rows_of(db, new)


async def test_a_zone_and_a_look_that_come_together_leave_no_day_of_the_zone_before(db: Database):
    book = Book()
    piece = book.see(book.glue(book.cut()), "l7")
    await fill(db, book, on_day(7))
    settings = {"list": "settings", "fields": {"name": "Farm", "zone": "Pacific/Kiritimati"}}
    book.write(8, "define", settings, ("item", "settings"))
    book.see(piece, "l14")
    new = Book.__new__(Book)
    new.records, new.last_day = book.records[-2:], 14
    await rows_of(db, new)
    assert (await replay(db)).differences == []


async def test_an_operators_name_may_be_as_long_as_a_record_takes(db: Database):
    book = Book()
    book.glue(book.cut(operator="x" * 120))
    await rows_of(db, book)
    assert (await replay(db)).differences == []


async def test_what_is_read_together_is_of_one_moment(db: Database):
    book = Book()
    book.glue(book.cut())
    async with db.snapshot() as tables:
        first = await read_words(tables)
        await fill(db, book, on_day(1))
        assert await read_words(tables) == first == {}
    async with db.snapshot() as tables:
        assert len(await read_words(tables)) == 2


def test_days_are_counted_and_none_is_nought():
    assert [ordinal(None), ordinal("0001-01-01"), ordinal("2026-01-01")] == [0, 1, DAY]
