"""Each breach of the vocabulary is refused by itself, with a sentence that says where it lies."""

from collections.abc import Iterator
from typing import Any

import pytest

from api.records import kinds as k
from api.records.parse import Broken, parse
from tests.records.examples import BODIES, ID, OTHER, read, record


@pytest.mark.parametrize(
    ("found", "says"),
    [
        (record("check", {"mouth": "wide"}), "Invalid enum value 'wide' - at `$.body.mouth`"),
        (record("check", {"encrustation": 5}), "<= 4 - at `$.body.encrustation`"),
        (record("check", {"encrustation": "3"}), "Expected `int"),
        (record("check", {"smell": "fine"}), "unknown field `smell`"),
        (record("glue", {"cut": OTHER, "purpose": "sale"}), "missing required field `base`"),
        (record("bind", {"code": "2345678O"}), "$.body.code"),
        (record("note", {"text": "a\0b"}), "$.body.text"),
        (record("water", {"readings": []}), "$.body.readings"),
        (record("check", id="7"), "$.id"),
        (record("check", device_seq=0), "$.device_seq"),
        (record("check", subject={"kind": "tank", "id": "t"}), "cannot be about a tank"),
        (record("check") | {"observed": {"at": "2026-02-30T00:00:00.000Z", "offset": 0,
                                         "zone": "UTC"}}, "day is out of range"),
        (record("arrival", BODIES["arrival"] | {"came_on": "2026-02-30"}), "day is out of range"),
        (record("arrival", BODIES["arrival"] | {"came_on": "0000-01-01"}), "is out of range"),
        (record("define", {"list": "settings", "fields": {"zone": "Mars/One"}},
                subject={"kind": "item", "id": "settings"}), "'Mars/One' is no time zone"),
        (record("define", {"list": "settings", "fields": {"zone": 7}},
                subject={"kind": "item", "id": "settings"}), "Expected `str | null`, got `int`"),
        (record("define", {"list": "settings", "fields": {"wild_number": 2}},
                subject={"kind": "item", "id": "settings"}), "Invalid enum value 2"),
        (record("define", {"list": "tray", "fields": {"zone": "Mars/One"}},
                subject={"kind": "item", "id": "settings"}), "has the one entry 'settings'"),
        (record("define", {"list": "settings", "fields": {}},
                subject={"kind": "item", "id": "tray.a1"}), "has the one entry 'settings'"),
        (record("check", subject={"kind": "piece", "id": "p" * 64}), "is named by a UUIDv7"),
        (record("retract", subject={"kind": "record", "id": "7"}), "is named by a UUIDv7"),
        (record("hum", {}, subject={"kind": "cut", "id": "c.1"}), "is named by a UUIDv7"),
        ({"id": ID, "kind": "check"}, "missing required field"),
    ],
)  # fmt: skip
def test_a_breach_is_refused_with_where_it_lies(found: dict[str, Any], says: str) -> None:
    broken = read(found)
    assert isinstance(broken, Broken)
    assert says in broken.problem.detail
    assert broken.problem.title == "This record does not fit the vocabulary."
    assert (broken.problem.status, broken.problem.code) == (422, "bad-record")


WRONG: list[list[int]] = [[]]
"""A list of lists is the right value of no field."""


def wrongs(found: Any, path: str = "$") -> Iterator[tuple[str, Any]]:
    """Every way to put one wrong value in place of a field or an element, with its path."""
    if isinstance(found, dict):
        for name, value in found.items():
            yield f"{path}.{name}", found | {name: WRONG}
            yield from ((at, found | {name: bad}) for at, bad in wrongs(value, f"{path}.{name}"))
    elif isinstance(found, list):
        for place, value in enumerate(found):
            for at, bad in wrongs(value, f"{path}[{place}]"):
                yield at, [*found[:place], bad, *found[place + 1 :]]


@pytest.mark.parametrize("kind", sorted(k.SUBJECTS))
def test_every_field_of_every_kind_is_checked(kind: str) -> None:
    tried = list(wrongs(record(kind)))
    assert {f"$.body.{name}" for name in BODIES[kind]} <= {path for path, _ in tried}
    for path, bad in tried:
        broken = read(bad)
        assert isinstance(broken, Broken), path
        where = broken.problem.detail.partition(" - at `")[2].partition("`")[0]
        # A value in a dictionary of any keys is told by the dictionary; a wrong kind by the whole.
        told = (path, path.rpartition(".")[0] + "[...]") if path != "$.kind" else ("",)
        assert where.startswith(told), broken.problem.detail


@pytest.mark.parametrize("kind", sorted(k.SUBJECTS))
def test_every_required_field_is_missed(kind: str) -> None:
    """Which are required is told by the second list here, not by the classes themselves."""
    whole = record(kind)
    missed = set()
    for name in BODIES[kind]:
        body = {key: value for key, value in BODIES[kind].items() if key != name}
        if isinstance(read(whole | {"body": body}), Broken):
            missed.add(name)
    assert missed == set(REQUIRED.get(kind, "").split())
    for name in set(whole) - {"v"}:
        assert isinstance(read({key: whole[key] for key in whole if key != name}), Broken), name


REQUIRED = {
    "arrival": "line species origin", "cut": "sitting mother method", "glue": "cut base purpose",
    "cut_end": "remains", "bind": "code", "ready": "for", "loss": "how", "exit": "how",
    "purpose": "purpose", "care": "what", "water": "readings", "photo": "sha256 bytes media",
    "note": "text", "define": "list fields", "retract": "why",
}  # fmt: skip


@pytest.mark.parametrize("raw", [b"7", b"null", b'"text"', b"{}", b"[" * 50_000, b"\xff\xfe"])
def test_what_is_no_record_at_all_is_kept_and_refused(raw: bytes) -> None:
    broken = parse(raw)
    assert isinstance(broken, Broken)
    assert broken.id is None
