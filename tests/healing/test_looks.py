"""Earlier looks out of the log: what counts as one, and what a look knew."""

from api.database import Database
from api.healing.looks import MOST_READ, STAGES, Look, read_looks, some
from tests.healing.farm_book import Book, fill, on_day, run


def looks_of(folder, book: Book, starts: dict[str, int | None]) -> list[Look]:
    async def work(db: Database) -> list[Look]:
        await fill(db, book, on_day(book.last_day))
        return await read_looks(db, starts, "Indian/Maldives")

    return run(folder, work)


def test_looks_know_what_was_seen_by_then(tmp_path):
    """A look that leaves something out knows it from before, from the gluing on; of a day the last
    word counts; a sweep, a taken-back check and looks at others are none."""
    book = Book()
    piece = book.glue(book.cut(), encrustation=1)
    for day, body in (
        (7, {"expansion": "half"}), (14, {"mouth": "bud"}), (16, {"swept": True}),
        (21, {"encrustation": 3}), (21, {"mouth": "open"}),
    ):  # fmt: skip
        book.write(day, "check", body, ("piece", piece))
    slip = book.write(18, "check", {"mouth": "feeding", "encrustation": 4}, ("piece", piece))
    book.retract(slip, 22)
    bare, other = book.glue(book.cut()), book.glue(book.cut())
    for one in (bare, other):
        book.write(9, "check", {"mouth": "none"}, ("piece", one))
    found = looks_of(tmp_path, book, {piece: 1, bare: None, "unknown": None})
    assert found == [
        Look(piece, "2026-01-08", -1, 1),
        Look(piece, "2026-01-15", STAGES.index("bud"), 1),
        Look(piece, "2026-01-22", STAGES.index("open"), 3),
        Look(bare, "2026-01-10", 0, -1),
    ]


def test_nobody_asked_for_is_no_look(tmp_path):
    assert looks_of(tmp_path, Book(), {}) == []


def test_of_many_pieces_the_same_are_chosen_each_time():
    many = [f"{n:05d}" for n in range(4000)]
    assert some(reversed(many)) == some(many)
    assert len(set(some(many))) == MOST_READ
    assert some(["b", "a"]) == ["a", "b"]
