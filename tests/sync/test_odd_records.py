"""Records that are odd, wrong or disagree: kept, said, and never in their neighbours' way."""

import msgspec
import pytest

from api.database import Database
from api.records.clock import moment
from api.stock.lists import Facility, facility
from api.stock.replay import replay
from api.sync.pull import page
from api.sync.push import push
from api.sync.wire import read_batch
from tests.sync.phone import DAY, NOW, Phone, begin, count, fates

pytestmark = pytest.mark.anyio


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


async def test_a_retraction_of_a_retraction_that_came_first_changes_nothing(db: Database) -> None:
    """It could not be known for one when it came, so it is kept; the check stays taken back."""
    [piece] = await begin(db)
    [before] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    phone = Phone("p1")
    check = phone.check(piece)
    undo = phone.make("retract", ("record", check["id"]), {"why": "slip"})
    twice = phone.make("retract", ("record", undo["id"]), {"why": "slip of a slip"})
    for record, fate in ((twice, "later"), (undo, "later"), (check, "stored")):
        assert fates(await phone.push(db, [record])) == [fate]
    assert await count(db, "held") == 0
    [after] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    assert after == before
    assert (await replay(db)).differences == []


async def test_what_one_database_would_choke_on_never_stops_its_neighbours(db: Database) -> None:
    """Names too long for a column, times that no calendar has, ticks that no integer holds."""
    [piece] = await begin(db)
    phone, long = Phone("p1"), "p" * 64
    [cut] = await db.rows("SELECT id, mother FROM cut")
    glue = {"cut": cut["id"], "base": "base.hex-40", "purpose": "sale"}
    made = {"sitting": phone.id(), "mother": cut["mother"], "method": "method.band-saw"}
    bad = [
        phone.make("glue", ("piece", long), glue),
        phone.make("cut", ("cut", long), made),
        phone.make("hum", ("piece", long), {}),
        phone.make("define", ("item", "settings"), {"list": "tray", "fields": {"zone": "x"}}),
        phone.make("define", ("item", "settings"), {"list": "settings", "fields": {"name": 5}}),
    ]
    old = phone.check(piece)
    old["observed"] |= {"at": "0001-01-01T00:00:00.000Z"}
    ticking = phone.check(piece)
    ticking["observed"] |= {"session": "run", "tick": 0}
    records = [*bad, old, ticking, phone.check(piece)]
    sent = {"at": moment(NOW), "session": "run", "tick": 10**30}
    body = msgspec.json.encode({"device": "p1", "sent": sent, "records": records})
    answers = await push(db, read_batch(body), NOW)
    assert fates(answers) == ["refused"] * 5 + ["stored"] * 3
    assert [answer.at for answer in answers.answers[5:]] == [NOW] * 3
    assert answers.answers[5].notes[0].startswith("This record was dated before the year 2000.")
    assert await facility(db) == Facility(zone="Europe/Lisbon")


@pytest.mark.parametrize("at", ["0001-01-01T00:00:00.000Z", "9999-12-31T23:59:59.999Z"])
async def test_a_phone_whose_clock_is_nowhere_near_is_taken(db: Database, at: str) -> None:
    [piece] = await begin(db)
    phone = Phone("p1")
    records = [phone.check(piece), phone.check(piece)]
    records[1]["observed"] |= {"at": at}
    body = msgspec.json.encode({"device": "p1", "sent": {"at": at}, "records": records})
    answers = await push(db, read_batch(body), NOW)
    assert fates(answers) == ["stored", "stored"]
    assert [answer.at for answer in answers.answers] == [NOW, NOW]


async def test_an_unknown_kind_and_a_newer_version_are_kept_and_never_folded(db: Database) -> None:
    [piece] = await begin(db)
    [before] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    phone = Phone("p1")
    odd = phone.make("hum", ("piece", piece), {"tone": [1, {"deep": None}]})
    newer = phone.check(piece) | {"v": 2, "body": {"mouth": {"left": "open"}}}
    assert fates(await phone.push(db, [odd, newer])) == ["stored", "stored"]
    [after] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    assert after == before
    passed_on = (await page(db, None, 2000, NOW))["entries"][-2:]
    assert [msgspec.json.decode(entry["record"]) for entry in passed_on] == [odd, newer]


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


async def test_a_wrong_clock_is_corrected_and_said(db: Database) -> None:
    [piece] = await begin(db)
    phone = Phone("p1", skew=2 * DAY)
    answers = await phone.push(db, [phone.check(piece, NOW - 5000)])
    assert answers.skew_ms == 2 * DAY
    assert answers.answers[0].at == NOW - 5000
    assert answers.answers[0].notes == [
        "This phone's clock is 2880 minutes ahead. The times were corrected; set the clock."
    ]


async def test_a_retraction_of_a_newer_version_takes_no_look_back(db: Database) -> None:
    """Whether a piece is stepped on, folded again because of a late record, or replayed."""
    [piece] = await begin(db)
    phone = Phone("p1")
    check = phone.check(piece, NOW - DAY)
    newer = phone.make("retract", ("record", check["id"]), {"why": "slip"}) | {"v": 2}
    late = phone.check(piece, NOW - 2 * DAY)
    await phone.push(db, [check])
    await phone.push(db, [newer])
    await phone.push(db, [late])
    [row] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    assert msgspec.json.decode(row["state"])["checks"] == 2
    assert (await replay(db)).differences == []
