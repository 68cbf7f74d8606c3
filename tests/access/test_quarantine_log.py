"""Quarantine on both databases: what it keeps of a record, how much it takes, how it looks up."""

import msgspec
import pytest

from api.access.links import add_staff, owner_of
from api.access.person import Person
from api.access.sessions import remember_holding
from api.access.tables import Device
from api.database import Database
from api.problems import SignedOut
from api.stock.replay import replay
from api.sync import entitled, quarantine
from api.sync.push import push
from api.sync.quarantine import Which
from api.sync.wire import read_batch
from tests.sync.phone import NOW, Phone, begin, count, fates

PIECE = "0190b0c8-7a3e-7000-8000-000000000001"
pytestmark = pytest.mark.anyio


async def test_on_both_databases_admission_keeps_times_and_replays(db: Database) -> None:
    """A check of a revoked phone with a clock two days ahead: its corrected time is kept."""
    staff = await add_staff(db, "Tove Reed", "keeper")
    boss = Person(await owner_of(db), "device.desk", "owner", "Owner", "s")
    async with db.write() as tx:
        await Device.insert(Device(id="device.tank", name="Tank", made_at=NOW))
        await remember_holding(tx, "device.tank", staff, NOW)
    [piece] = await begin(db)
    phone = Phone("device.tank", 7, skew=2 * 86_400_000)
    phone.staff = staff
    check = phone.check(piece, mouth="open")
    sender = Person(staff, "device.tank", "keeper", "Tove", "s", "device-revoked")
    answers = await push(db, read_batch(phone.batch([check])), NOW, sender=sender)
    assert fates(answers) == ["later"]
    before = await count(db)
    group = Which("device.tank", staff, "device-revoked")
    assert await quarantine.admit(db, boss, group, NOW + 5) == {
        "stored": 1, "duplicate": 0, "later": 0, "refused": 0,
    }  # fmt: skip
    [row] = await db.rows("SELECT at, record FROM log WHERE kind = 'check'")
    assert (row["at"], msgspec.json.decode(row["record"])) == (NOW, check)
    assert await count(db) == before + 1
    assert (await replay(db)).differences == []
    assert (await quarantine.admit(db, boss, group, NOW + 9))["stored"] == 0


async def test_a_stolen_phone_cannot_fill_the_disk(
    db: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(entitled, "MOST_REVOKED", 2)
    await begin(db)
    phone = Phone("device.tank", 7)
    sender = Person("staff.one", "device.tank", "keeper", "Tove", "s", "device-revoked")
    notes = [phone.make("note", ("item", "settings"), {"text": str(n)}) for n in range(4)]
    first = read_batch(phone.batch(notes[:2]))
    assert fates(await push(db, first, NOW, sender=sender)) == ["later", "later"]
    with pytest.raises(SignedOut):
        await push(db, read_batch(phone.batch(notes[2:])), NOW, sender=sender)
    assert await count(db, "quarantine") == 2


async def test_fates_are_looked_up_one_by_one(db: Database) -> None:
    """With NOT IN, PostgreSQL 15 reads a log of 300,000 for each of 500 ids: 7.5 s."""
    if db.is_sqlite:
        pytest.skip("SQLite looks each id up either way")
    plan = await db.rows(f"EXPLAIN {quarantine.ASIDE.replace('(?)', '(?, ?)', 1)}", PIECE, PIECE)
    assert [row for row in plan if "SubPlan" in str(row)] == []
