"""Which group a piece is in, what is left out, and what the notes say of tangled groups."""

import pytest

from api.database import Database
from api.healing.asked import Asked
from api.healing.report import report
from tests.healing.farm_book import Book, fill, on_day, only, report_of

pytestmark = pytest.mark.filterwarnings("error")


def sizes(tmp_path, book: Book, by: str) -> list[tuple[str, str, int, int]]:
    found = report_of(tmp_path, book, by=by)
    return [(g.key, g.name, g.pieces, g.cuts) for g in found.groups]


def mixed() -> Book:
    """Two methods; a cut of a piece of a colony; a base and a purpose changed later."""
    book = Book()
    one, two = book.colony("species.one"), book.colony("species.two")
    first = book.cut(one, "method.band", blade="blade.one")
    [mother] = book.pieces(first, "l7", base="base.disc", purpose="hold")
    book.pieces(book.cut(two, "method.disc", sitting=first), "l7", "l8", purpose="sale")
    again = book.cut(mother, "method.disc", day=20)
    book.write(20, "cut_end", {"remains": "new-base", "base": "base.hex"}, ("cut", again))
    book.write(21, "purpose", {"purpose": "sale"}, ("piece", mother))
    *_, kept = book.pieces(again, "l7", "l9", "l9", start=20)
    book.write(30, "purpose", {"purpose": "hold"}, ("piece", kept))
    return book


@pytest.mark.parametrize(
    ("by", "groups"),
    [
        ("method", [("method.disc", "Disc saw", 5, 2), ("method.band", "Band saw", 1, 1)]),
        ("blade", [("?", "Blade not recorded", 5, 2), ("blade.one", "Blade one", 1, 1)]),
        # By lineage: what was cut from a piece is what the piece is.
        ("species", [("species.one", "Lobophyllia hemprichii", 4, 2),
                     ("species.two", "Acanthastrea echinata", 2, 1)]),
        # As glued: the mother's later base and two later purposes change nothing.
        ("base", [("base.hex", "Hexagon 40", 5, 2), ("base.disc", "Disc 25", 1, 1)]),
        ("purpose", [("sale", "For sale", 5, 2), ("hold", "Held back", 1, 1)]),
    ],
)  # fmt: skip
def test_groups_are_made_by_what_was_fixed_at_the_cut(tmp_path, by, groups):
    assert sizes(tmp_path, mixed(), by) == groups


@pytest.mark.anyio
async def test_both_databases_give_the_same_report(db: Database):
    book = mixed()
    now = on_day(book.last_day)
    await fill(db, book, now)
    found = await report(db, Asked("base"), now)
    assert [(g.key, g.pieces, g.healing) for g in found.groups] == [
        ("base.hex", 5, 5), ("base.disc", 1, 0),
    ]  # fmt: skip
    assert found.groups[1].sentence == "Disc 25: none of 1 ready yet; none lost; one cut only."
    assert found.groups[1].withdrawn == 1


def test_one_sitting_with_two_mothers_is_two_cuts(tmp_path):
    book = Book()
    first = book.cut()
    book.pieces(first, "l7")
    book.pieces(book.cut(sitting=first), "l7")
    assert sizes(tmp_path, book, "method") == [("method.band", "Band saw", 2, 2)]


def test_pieces_that_cannot_be_counted_are_left_out_with_a_count(tmp_path):
    book = Book()
    book.pieces(book.cut(), "l7")
    wrong = book.cut()
    book.pieces(wrong, "l7 r14")
    book.retract(next(r["id"] for r in book.records if r["subject"]["id"] == wrong), 9)
    slow = book.cut()
    book.see(book.glue(slow, 3), "l7")
    book.see(book.glue(slow, 2), "l7")
    late = book.cut(day=1)
    book.see(book.glue(late, 0), "l7")
    group = only(report_of(tmp_path, book))
    assert (group.pieces, group.excluded, group.ready) == (2, 3, 0)
    assert group.notes == [
        "3 pieces are left out: 1: the cut was taken back; 1: dated as glued before the cut; 1: "
        "first recorded more than 2 days after the cut, when others may have been lost uncounted."
    ]


def test_a_group_that_is_left_out_whole_still_says_so(tmp_path):
    book = Book()
    book.see(book.glue(book.cut(), 9), "l14")
    found = report_of(tmp_path, book)
    assert only(found).sentence == "Band saw: no piece that can be counted."
    assert found.note == []


def test_one_method_that_is_one_mother_cannot_be_separated(tmp_path):
    book = Book()
    for method, base in (("method.band", "base.hex"), ("method.disc", "base.disc")):
        mother = book.colony()
        for _ in range(2):
            book.pieces(book.cut(mother, method), "l7 l14", "l7 l14", base=base, size_mm=20)
    found = report_of(tmp_path, book)
    alone = "All are from one mother: its part and the method's cannot be separated."
    assert [group.notes[0] for group in found.groups] == [alone, alone]
    assert found.note[-1] == (
        "Where the method differs, the base and mother differ too: what is the doing of which "
        "cannot be separated. Mix them in the next cuts."
    )


def test_one_sitting_cannot_be_separated_from_its_method(tmp_path):
    book = Book()
    first = book.cut()
    for cut in (first, book.cut(sitting=first)):
        book.pieces(cut, "l7")
    assert only(report_of(tmp_path, book)).notes[0] == (
        "All are from one sitting: its part and the method's cannot be separated."
    )


def test_mixed_traits_are_not_called_tangled(tmp_path):
    book = Book()
    one, two = book.colony(), book.colony()
    for method in ("method.band", "method.disc"):
        for mother in (one, two):
            cut = book.cut(mother, method)
            book.pieces(cut, "l7", size_mm=20, encrustation=1)
            book.pieces(cut, "l7", base="base.disc", purpose="hold", size_mm=30, encrustation=2)
    assert len(report_of(tmp_path, book).note) == 1


@pytest.mark.parametrize("by", ["species", "form", "blade", "tank", "care"])
def test_what_belongs_together_is_not_called_tangled(tmp_path, by):
    """Nobody can mix species and growth form, a blade and its method, or a tank and its care."""
    book = Book()
    book.write(-30, "define", {"list": "blade", "fields": {"name": "Two"}}, ("item", "blade.two"))
    for number, (form, method) in enumerate((("massive", "band"), ("single", "disc"))):
        name = ("one", "two")[number]
        species, tank, tray = f"species.{name}", f"tank.{name}", f"tray.{'ab'[number]}"
        book.write(-30, "define", {"list": "species", "fields": {"form": form}}, ("item", species))
        book.write(-30, "define", {"list": "tank", "fields": {"name": name}}, ("item", tank))
        book.write(-29, "move", {"tank": tank}, ("tray", tray))
        for day in range(-9, -4):
            book.write(day, "care", {"what": "feed", "name": name}, ("tank", tank))
        if by not in ("species", "form"):
            species = "species.one"
        cutting = {"method": f"method.{method}", "blade": f"blade.{name}"} if by == "blade" else {}
        for _ in range(2):
            places = {"tray": tray} if by in ("tank", "care") else {}
            book.pieces(book.cut(book.colony(species), **cutting), "l7", **places)
    found = report_of(tmp_path, book, by=by)
    assert len(found.groups) == 2
    assert [note for note in found.note if "cannot be separated" in note] == []


def test_the_day_of_shares_lost_is_told_only_where_one_is_given(tmp_path):
    """Two cuts are too few for a share: nothing is by day 60, whatever the pieces have passed."""
    book = Book()
    for _ in range(2):
        book.pieces(book.cut(), "l7 l65 l70", "l7 l65 l70")
    found = report_of(tmp_path, book)
    assert only(found).loss is None
    assert found.note == []


def test_starting_size_and_encrustation_can_be_tangled(tmp_path):
    book = Book()
    one, two = book.colony(), book.colony()
    for method, size, start in (("method.band", 18, 1), ("method.disc", 31, 2)):
        for mother in (one, two):
            book.pieces(book.cut(mother, method), "l7", size_mm=size, encrustation=start)
    assert report_of(tmp_path, book).note[-1] == (
        "Where the method differs, the starting size and starting encrustation differ too: what is "
        "the doing of which cannot be separated. Mix them in the next cuts."
    )


def test_many_found_at_the_first_look_suggest_an_earlier_one(tmp_path):
    book = Book()
    for _ in range(2):
        book.pieces(book.cut(), "x20", "l20 r27", "r20", "l20 x27")
    assert only(report_of(tmp_path, book)).notes == [
        "4 of 8 were ready or lost at the very first look, so all that is known of their day is "
        "that it came before. Look earlier after a cut."
    ]


def test_an_event_on_day_one_is_well_dated_and_suggests_nothing(tmp_path):
    book = Book()
    for _ in range(2):
        book.pieces(book.cut(), "x1", "x0", "l20 r27")
    assert only(report_of(tmp_path, book)).notes == []


def test_looks_made_because_a_piece_seems_ready_are_warned_of(tmp_path):
    book = Book()
    for _ in range(2):
        book.pieces(book.cut(), *["l7 l14 l16 r18"] * 5, *["l7 l14 l21"] * 5)
    assert only(report_of(tmp_path, book)).notes[0] == (
        "Pieces were looked at 2 days apart just before they were called ready, others 7 days "
        "apart. Looks made because a piece seems ready bend the curve: keep to the rounds."
    )


def test_pieces_held_back_are_told_beside_readiness_for_sale(tmp_path):
    book = Book()
    for _ in range(2):
        cut = book.cut()
        book.pieces(cut, "l7")
        book.pieces(cut, "l7", purpose="hold")
    sale, again = (
        only(report_of(tmp_path / name, book, endpoint=name)).notes for name in folders(tmp_path)
    )
    assert sale == [
        "2 of the 4 pieces were glued to be held back. Where such pieces are never marked ready "
        "for sale, they make it look later than it is; compare by purpose."
    ]
    assert again == [
        "2 of the 4 pieces were glued for sale. Where such pieces are never marked ready to be cut "
        "again, they make it look later than it is; compare by purpose."
    ]


def folders(tmp_path) -> tuple[str, str]:
    for name in ("sale", "cut"):
        (tmp_path / name).mkdir()
    return "sale", "cut"


def test_never_checked_pieces_are_told_and_add_nothing(tmp_path):
    book = Book()
    for _ in range(4):
        book.pieces(book.cut(), "l7 r14", "l7 r14", "l7 r14", "", "")
    group = only(report_of(tmp_path, book))
    assert (group.pieces, group.never_checked, group.show) == (20, 8, "full")
    assert group.curve[-1].ready_low == pytest.approx(1.0)
    assert group.sentence == (
        "Band saw: half are ready by day 14, 95 % between 8 and 14; none lost; 8 never checked."
    )
    assert group.notes == [
        "8 pieces were never checked and tell nothing of healing. Check what is still here."
    ]
