"""Push: an answer for each record, each record once, whatever the network did."""

import asyncio

import pytest

from api.database import Database
from tests.sync.phone import DAY, NOW, Phone, begin, fates

pytestmark = pytest.mark.anyio


async def count(db: Database, table: str = "log") -> int:
    [row] = await db.rows(f"SELECT count(*) AS n FROM {table}")
    return int(row["n"])


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
    [piece] = await begin(db)
    for place in range(100):
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


async def test_an_id_that_comes_with_another_content_is_refused(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    record = phone.check(piece)
    await phone.push(db, [record])
    changed = record | {"body": {"mouth": "bud"}}
    [answer] = (await phone.push(db, [changed])).answers
    assert answer.answer == "refused"
    assert answer.problem is not None
    assert (answer.problem.status, answer.problem.code) == (409, "id-reused")
    [row] = await db.rows("SELECT record FROM log WHERE id = ?", record["id"])
    assert '"mouth":"open"' in row["record"]


async def test_a_retraction_is_not_retracted(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    check = phone.check(piece)
    undo = phone.make("retract", ("record", check["id"]), {"why": "slip"})
    await phone.push(db, [check, undo])
    twice = phone.make("retract", ("record", undo["id"]), {"why": "slip of a slip"})
    [answer] = (await phone.push(db, [twice])).answers
    assert answer.problem is not None
    assert (answer.answer, answer.problem.code) == ("refused", "retract-of-retract")


async def test_an_unknown_kind_and_a_newer_version_are_kept_and_never_folded(db: Database) -> None:
    [piece] = await begin(db)
    [before] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    phone = Phone("p1")
    odd = phone.make("hum", ("piece", piece), {"tone": [1, {"deep": None}]})
    newer = phone.check(piece) | {"v": 2, "body": {"mouth": {"left": "open"}}}
    assert fates(await phone.push(db, [odd, newer])) == ["stored", "stored"]
    [after] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    assert after == before


async def test_a_label_already_bound_is_said_and_nothing_is_lost(db: Database) -> None:
    one, two = await begin(db, pieces=2)
    phone = Phone("p1")
    first = phone.make("bind", ("piece", one), {"code": "23456789"}, NOW - DAY)
    second = phone.make("bind", ("piece", two), {"code": "23456789"}, NOW)
    answers = await phone.push(db, [first, second])
    assert fates(answers) == ["stored", "stored"]
    assert answers.answers[0].notes == []
    assert answers.answers[1].notes == [
        "The label 23456789 is already on another piece. This piece is kept, "
        "without a label; bind another one to it. See Needs a look."
    ]


async def test_a_check_before_the_glue_and_one_in_the_future_are_kept_and_said(
    db: Database,
) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    early = phone.check(piece, NOW - 60 * DAY)
    future = phone.check(piece, NOW + 3 * DAY)
    answers = await phone.push(db, [early, future])
    assert fates(answers) == ["stored", "stored"]
    assert answers.answers[0].notes == [
        "Kept, but it is dated before its piece was glued, so it counts for nothing. "
        "See Needs a look."
    ]
    assert answers.answers[1].at == NOW
    assert answers.answers[1].notes[0].startswith("This record was dated in the future.")


async def test_missing_numbers_of_a_device_are_proved(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    records = [phone.check(piece, NOW + number) for number in range(6)]
    answers = await phone.push(db, [records[0], records[2], records[5]])
    assert (answers.device_seq.highest, answers.device_seq.missing) == (6, [2, 4, 5])
    answers = await phone.push(db, [records[1], records[4]])
    assert (answers.device_seq.highest, answers.device_seq.missing) == (6, [4])


async def test_a_wrong_clock_is_corrected_and_said(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1", skew=2 * DAY)
    answers = await phone.push(db, [phone.check(piece, NOW - 5000)])
    assert answers.skew_ms == 2 * DAY
    assert answers.answers[0].at == NOW - 5000
    assert answers.answers[0].notes == [
        "This phone's clock is 2880 minutes ahead. The times were corrected; set the clock."
    ]
