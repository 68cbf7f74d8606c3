"""The vocabulary: every kind goes through unchanged, and what is not understood is kept."""

import msgspec
import pytest

from api.records import kinds as k
from api.records.parse import Parsed
from tests.records.examples import BODIES, OTHER, read, record


@pytest.mark.parametrize("kind", sorted(k.SUBJECTS))
def test_every_kind_with_all_its_fields_goes_through_unchanged(kind: str) -> None:
    sent = record(kind)
    parsed = read(sent)
    assert isinstance(parsed, Parsed), parsed
    assert parsed.record is not None
    assert msgspec.json.decode(parsed.text) == sent
    body = type(parsed.record.body)
    assert set(BODIES[kind]) == set(body.__struct_encode_fields__), "a field has no example here"


def test_the_vocabulary_is_complete() -> None:
    assert set(BODIES) == set(k.SUBJECTS)


def test_order_of_fields_and_defaults_do_not_change_what_a_record_is() -> None:
    one = record("check", {"mouth": "bud"})
    other = dict(reversed(one.items())) | {"body": {"swept": False, "signs": [], "mouth": "bud"}}
    first, second = read(one), read(other)
    assert first.digest == second.digest
    assert first.text == second.text


def test_a_later_version_and_an_unknown_kind_are_kept() -> None:
    later = read(record("check", {"mouth": {"left": "open"}}, v=2))
    assert isinstance(later, Parsed)
    assert (later.record, later.kind, later.names) == (None, "check", frozenset())
    alike = read(record("check", v=2))
    assert isinstance(alike, Parsed)
    assert alike.record is None
    assert k.read_stored(alike.text) is None, "a newer version may mean something else"
    odd = read(record("hum", {"tone": [1]}))
    assert isinstance(odd, Parsed)
    assert (odd.record, odd.kind) == (None, "hum")


def test_what_each_record_names() -> None:
    named = {}
    for kind in k.SUBJECTS:
        parsed = read(record(kind))
        assert isinstance(parsed, Parsed)
        assert parsed.record is not None
        named[kind] = parsed.names
        assert k.names(parsed.record) == parsed.names
    assert named["cut"] == {("piece", OTHER), ("item", "method.band-saw"), ("item", "blade.a"),
                            ("item", "trial.one")}  # fmt: skip
    assert named["glue"] == {("cut", OTHER), ("item", "base.hex-40"), ("item", "tray.a1")}
    assert named["check"] == {("piece", OTHER)}
    assert named["retract"] == {("record", OTHER)}
    assert named["define"] == set()
    assert named["water"] == {("item", OTHER)}
