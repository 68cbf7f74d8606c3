"""How pieces were found at their checks, counted by base kind, place of the label and age."""

from typing import Any

from api.database import Database
from api.labelling.reading import Looks, read_labels
from tests.sync.phone import DAY, NOW, Phone, begin, fates

GLUED = NOW - 40 * DAY


def at(day: int) -> int:
    """In the evening of a day since gluing, which summer time leaves that same day."""
    return GLUED + day * DAY - 2 * 3600 * 1000


async def pushed(db: Database, phone: Phone, records: list[Any]) -> None:
    assert set(fates(await phone.push(db, records, NOW + 400 * DAY))) == {"stored"}


async def test_checks_are_counted_by_base_and_by_days_since_gluing(db: Database) -> None:
    one, two = await begin(db, 2)
    round_ = Phone("round", 5)
    await pushed(db, round_, [
        round_.make("define", ("item", "base.hex-40"),
                    {"list": "base", "fields": {"label_sits": "corner"}}),
        round_.check(one, at(30), mouth="bud", found="scan"),
        round_.check(two, at(30), mouth="bud", found="typed"),
        round_.check(one, at(31), found="place"),
        round_.check(two, at(180), found="place"),
        round_.check(one, at(200), found="scan"),
    ])  # fmt: skip
    hexes = ("base.hex-40", "corner")
    assert await read_labels(db) == [
        Looks(*hexes, 0, 30, scan=1, typed=1),
        Looks(*hexes, 31, 90, place=1),
        Looks(*hexes, 91, 180, place=1),
        Looks(*hexes, 181, None, scan=1),
    ]


async def test_what_says_nothing_is_taken_back_or_is_of_a_colony_is_not_counted(
    db: Database,
) -> None:
    [piece] = await begin(db, 1)
    [mother] = [row["mother"] for row in await db.rows("SELECT mother FROM cut")]
    round_ = Phone("round", 5)
    slip = round_.check(piece, at(2), found="scan")
    await pushed(db, round_, [
        round_.check(piece, at(1), mouth="none"),
        slip,
        round_.make("retract", ("record", slip["id"]), {"why": "wrong piece"}, at(3)),
        round_.check(mother, at(2), found="scan"),
        # Looked at before it was glued, by a clock that was wrong: it counts as its first day.
        round_.check(piece, at(-1), found="typed"),
    ])  # fmt: skip
    assert await read_labels(db) == [Looks("base.hex-40", None, 0, 30, typed=1)]


async def test_a_place_of_the_label_that_is_no_word_counts_as_not_said(db: Database) -> None:
    [piece] = await begin(db, 1)
    round_ = Phone("round", 5)
    for odd in (7, ["corner"], True):
        fields = {"list": "base", "fields": {"label_sits": odd}}
        await pushed(db, round_, [round_.make("define", ("item", "base.hex-40"), fields)])
        assert [one.sits for one in await read_labels(db)] == []
        check = round_.check(piece, at(3), found="scan")
        await pushed(db, round_, [check])
        assert [one.sits for one in await read_labels(db)] == [None]
        await pushed(db, round_, [round_.make("retract", ("record", check["id"]), {"why": "odd"})])


async def test_a_farm_without_such_checks_has_an_empty_table(db: Database) -> None:
    await begin(db, 1)
    assert await read_labels(db) == []
