"""Push: an answer for each record, each record once, whatever the network did."""

import asyncio

import pytest

from api.database import Database
from tests.sync.phone import NOW, Phone, begin, count, fates

pytestmark = pytest.mark.anyio


async def test_an_answer_that_never_came_is_a_duplicate_the_second_time(db: Database) -> None:
    [piece] = await begin(db)
    phone, before = Phone("p1"), await count(db)
    for number in range(1000):
        record = phone.check(piece, NOW + number)
        first = await phone.push(db, [record])  # committed, and the answer is thrown away
        again = await phone.push(db, [record])
        assert fates(again) == ["duplicate"]
        assert again.answers[0].seq == first.answers[0].seq
    assert await count(db) == before + 1000
    assert again.device_seq.missing == []


async def test_the_same_batch_ten_times_at_once_is_one_row_each(db: Database) -> None:
    [piece] = await begin(db)
    phone, before = Phone("p1"), await count(db)
    records = [phone.check(piece, NOW + number) for number in range(50)]
    many = await asyncio.gather(*(phone.push(db, records) for _ in range(10)))
    assert await count(db) == before + 50
    assert {tuple(a.seq for a in answers.answers) for answers in many} == {
        tuple(range(before + 1, before + 51))
    }
    stored = [fates(answers) for answers in many]
    assert sorted(stored) == [["duplicate"] * 50] * 9 + [["stored"] * 50]


async def test_one_poison_record_never_stops_its_neighbours(db: Database) -> None:
    for place, piece in enumerate(await begin(db, pieces=100)):
        phone, before = Phone(f"p{place}", place + 2), await count(db)
        records = [phone.check(piece, NOW + number) for number in range(100)]
        records[place]["body"] = {"mouth": "wide", "made": place}
        answers = await phone.push(db, records)
        expected = ["stored"] * 100
        expected[place] = "refused"
        assert fates(answers) == expected
        assert await count(db) == before + 99
        problem = answers.answers[place].problem
        assert problem is not None
        assert (problem.status, problem.code) == (422, "bad-record")
        assert answers.device_seq.missing == []
    assert await count(db, "refused") == 100


async def test_a_record_that_names_something_unknown_waits_for_it(db: Database) -> None:
    [piece] = await begin(db)
    phone, other = Phone("p1", 2), Phone("p2", 3)
    colony, cut, young = phone.id(), phone.id(), phone.id()
    arrival = phone.make("arrival", ("piece", colony), {
        "line": "Blue", "species": "species.lobo", "origin": "farmed"})  # fmt: skip
    made = phone.make("cut", ("cut", cut), {
        "sitting": phone.id(), "mother": colony, "method": "method.band-saw"})  # fmt: skip
    glue = phone.make("glue", ("piece", young), {
        "cut": cut, "base": "base.hex-40", "purpose": "hold"})  # fmt: skip
    check = other.check(young)
    undo = other.make("retract", ("record", check["id"]), {"why": "slip"})
    first = await other.push(db, [check, undo, other.check(piece)])
    assert fates(first) == ["later", "later", "stored"]
    assert first.answers[0].notes == [
        f"Held safely until the piece it names ({young}) arrives here."
    ]
    assert fates(await phone.push(db, [glue])) == ["later"]
    assert fates(await phone.push(db, [made])) == ["later"]
    assert await count(db, "held") == 4
    assert fates(await phone.push(db, [arrival])) == ["stored"]
    assert await count(db, "held") == 0
    kinds = [row["kind"] for row in await db.rows("SELECT kind FROM log ORDER BY seq")]
    assert kinds[-6:] == ["check", "arrival", "cut", "glue", "check", "retract"]
    assert fates(await other.push(db, [check])) == ["duplicate"]


async def test_missing_numbers_of_a_device_are_proved(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    records = [phone.check(piece, NOW + number) for number in range(6)]
    answers = await phone.push(db, [records[0], records[2], records[5]])
    assert (answers.device_seq.highest, answers.device_seq.missing) == (6, [2, 4, 5])
    answers = await phone.push(db, [records[1], records[4]])
    assert (answers.device_seq.highest, answers.device_seq.missing) == (6, [4])
