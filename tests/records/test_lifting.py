"""Older versions of a kind: taken, kept as they came, folded as today's; the newer never folded."""

import hashlib
import json

import msgspec
import pytest

from api.database import Database
from api.records import kinds as k
from api.records.lift import LIFTS, version_of
from api.records.parse import Broken, Parsed
from api.stock.fold import Entry, fold
from api.stock.replay import replay
from api.sync.pull import page
from tests.records.examples import read
from tests.records.old_checks import (
    CASES,
    ENTRIES,
    FILE,
    STATE,
    STEPS,
    ZONE,
    CheckOne,
    content,
    old,
)
from tests.stock.records import PIECE, Raw
from tests.sync.phone import DAY, NOW, Phone, begin, fates

pytestmark = pytest.mark.anyio


@pytest.fixture
def lifts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(LIFTS, "check", STEPS)


def body_of(record: k.AnyRecord) -> Raw:
    fields: Raw = msgspec.to_builtins(record.body)
    return fields


def test_the_file_of_both_languages_is_what_the_generator_writes() -> None:
    assert FILE.read_text() == content(), "run: python -m tests.records.old_checks"


def test_today_every_kind_has_one_version() -> None:
    assert {version_of(kind) for kind in k.SUBJECTS} == {1}


@pytest.mark.usefixtures("lifts")
@pytest.mark.parametrize(
    ("record", "today"), [case[1:] for case in CASES], ids=[c[0] for c in CASES]
)
def test_a_record_is_read_as_todays_and_kept_as_it_came(record: Raw, today: Raw | None) -> None:
    parsed = read(record)
    assert isinstance(parsed, Parsed), parsed
    assert msgspec.json.decode(parsed.text) == {"v": 1} | record
    assert (parsed.record and body_of(parsed.record)) == today
    stored = k.read_stored(parsed.text)
    assert stored == parsed.record
    if stored is not None:
        kept = {"id", "subject", "observed", "staff", "device", "device_seq"}
        assert {name: msgspec.to_builtins(stored)[name] for name in kept} == {
            name: record[name] for name in kept
        }
        assert (stored.v, parsed.names) == (3, {("piece", PIECE)})


@pytest.mark.usefixtures("lifts")
def test_an_old_records_digest_is_what_it_was_when_its_version_was_todays() -> None:
    """In the old body's own order of fields, and without what stands at its default."""
    record = old(1, {"covered": 60, "open": True}, 1)["record"]
    parsed = read(dict(reversed(record.items())))
    assert isinstance(parsed, Parsed)
    was = json.dumps({"kind": "check"} | record | {
        "body": msgspec.to_builtins(CheckOne(open=True, covered=60)),
    }, separators=(",", ":"))  # fmt: skip
    assert (parsed.text, parsed.digest) == (was, hashlib.sha256(was.encode()).hexdigest())


@pytest.mark.usefixtures("lifts")
@pytest.mark.parametrize(
    ("body", "v", "why"),
    [
        ({"open": "yes"}, 1, "Expected `bool`, got `str`"),
        ({"open": True, "covered": 101}, 1, "Expected `int` <= 100"),
        ({"open": True, "mouth": "open"}, 1, "unknown field `mouth`"),
        ({"mouth": "open", "covered": 60}, 3, "unknown field `covered`"),
        ({"open": True}, 2, "unknown field `open`"),
    ],
)
def test_what_does_not_fit_its_own_version_is_refused_as_ever(body: Raw, v: int, why: str) -> None:
    parsed = read(old(1, body, v)["record"])
    assert isinstance(parsed, Broken), parsed
    assert parsed.problem.code == "bad-record"
    assert why in parsed.problem.detail


@pytest.mark.usefixtures("lifts")
def test_old_and_new_fold_together() -> None:
    entries = [
        Entry(one["at"], record) for one in ENTRIES
        if (record := k.read_stored(json.dumps(one["record"]))) is not None
    ]  # fmt: skip
    assert fold(PIECE, entries, frozenset(), ZONE) == STATE


async def test_an_old_app_and_a_new_server(db: Database, monkeypatch: pytest.MonkeyPatch) -> None:
    """Out of order, sent twice, one of a version that the server does not know yet."""
    [piece] = await begin(db)
    phone = Phone("p1")
    monkeypatch.setitem(LIFTS, "check", STEPS)
    one = phone.check(piece, NOW - 3 * DAY, open=False, covered=30)
    two = phone.check(piece, NOW - 2 * DAY, mouth="open", covered=75) | {"v": 2}
    three = phone.check(piece, NOW - DAY, recession="rim") | {"v": 3}
    four = phone.check(piece, NOW, mouth="feeding") | {"v": 4}
    assert fates(await phone.push(db, [three, one, four, two])) == ["stored"] * 4
    assert fates(await phone.push(db, [one, two, three, four])) == ["duplicate"] * 4
    [row] = await db.rows("SELECT state FROM piece WHERE id = ?", piece)
    state = msgspec.json.decode(row["state"])
    assert (state["mouth"], state["encrustation"], state["recession"], state["checks"]) == (
        "open", 3, "rim", 3,
    )  # fmt: skip
    passed_on = [
        msgspec.json.decode(e["record"]) for e in (await page(db, None, 2000, NOW))["entries"]
    ]
    assert [sent for sent in passed_on if sent["kind"] == "check"] == [three, one, four, two]
    assert (await replay(db)).differences == []
