"""The vocabulary: every kind goes through unchanged, and each breach is refused by itself."""

from typing import Any

import msgspec
import pytest

from api.records import kinds as k
from api.records.parse import Broken, Parsed, parse

ID = "01890a5d-ac96-774b-bcce-b302099a8057"
OTHER = "01890a5d-ac96-774b-bcce-b302099a8058"
BODIES: dict[str, dict[str, Any]] = {
    "arrival": {"line": "Amber", "species": "species.lobo", "origin": "wild", "cut_number": 0,
                "documents": ["permit as typed"], "mouths": 3, "size_mm": 120, "code": "23456789"},
    "cut": {"sitting": ID, "mother": OTHER, "method": "method.band-saw", "blade": "blade.a",
            "blade_state": "worn", "operator": "T. Orrell", "reservoir_l": "12.5",
            "trial": "trial.one", "disinfectant": {"what": "povidone iodine", "dose": "1",
                                                   "unit": "mL/L", "source": "label"}},
    "glue": {"cut": OTHER, "base": "base.hex-40", "purpose": "hold", "code": "23456789",
             "mouths_kept": 2, "size_mm": 22, "encrustation": 1, "tray": "tray.a1", "place": "B7",
             "arm": "arm.one"},
    "cut_end": {"remains": "new-base", "base": "base.hex-40"},
    "bind": {"code": "23456789"},
    "check": {"expansion": "half", "mouth": "bud", "encrustation": 2, "recession": "rim",
              "signs": ["algae"], "lights": "off", "planned": True, "swept": True},
    "ready": {"for": "cut"},
    "loss": {"how": "dead", "sign": "bare", "cause": "cause.unknown"},
    "exit": {"how": "dispatched", "to": "Order 7"},
    "move": {"tray": "tray.a1", "place": "B7", "tank": "tank.north"},
    "purpose": {"purpose": "sale"},
    "care": {"what": "feed", "name": "plankton", "amount": "30", "unit": "mL"},
    "water": {"readings": [{"quantity": "nitrate", "value": "0.2", "unit": "mg/L",
                            "below": True, "at_c": "25"}]},
    "photo": {"sha256": "a" * 64, "bytes": 1000, "media": "image/jpeg", "day0": True},
    "note": {"text": "green\nrim"},
    "define": {"list": "tray", "fields": {"name": "A1", "rows": 3, "on": True, "of": ["a"],
                                          "gone": None}, "retired": True},
    "retract": {"why": "slip"},
}  # fmt: skip


def record(kind: str, body: Any = None, **changes: Any) -> dict[str, Any]:
    about = k.SUBJECTS.get(kind, ("piece",))[0]
    return {
        "id": ID, "kind": kind, "v": 1, "subject": {"kind": about, "id": OTHER},
        "observed": {"at": "2026-03-01T09:12:00.123Z", "offset": 60, "zone": "Europe/Lisbon",
                     "session": "run", "tick": 5},
        "staff": "staff.one", "device": "device.one", "device_seq": 1,
        "body": BODIES[kind] if body is None else body,
    } | changes  # fmt: skip


def read(found: dict[str, Any]) -> Parsed | Broken:
    return parse(msgspec.json.encode(found))


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
        (record("define", {"list": "settings", "fields": {"zone": "Mars/One"}}),
         "'Mars/One' is no time zone"),
        ({"id": ID, "kind": "check"}, "missing required field"),
    ],
)  # fmt: skip
def test_a_breach_is_refused_with_where_it_lies(found: dict[str, Any], says: str) -> None:
    broken = read(found)
    assert isinstance(broken, Broken)
    assert says in broken.problem.detail
    assert broken.problem.title == "This record does not fit the vocabulary."
    assert (broken.problem.status, broken.problem.code) == (422, "bad-record")


@pytest.mark.parametrize("raw", [b"7", b"null", b'"text"', b"{}", b"[" * 50_000, b"\xff\xfe"])
def test_what_is_no_record_at_all_is_kept_and_refused(raw: bytes) -> None:
    broken = parse(raw)
    assert isinstance(broken, Broken)
    assert broken.id is None


def test_a_later_version_and_an_unknown_kind_are_kept() -> None:
    later = read(record("check", {"mouth": {"left": "open"}}, v=2))
    assert isinstance(later, Parsed)
    assert (later.record, later.kind) == (None, "check")
    odd = read(record("hum", {"tone": [1]}))
    assert isinstance(odd, Parsed)
    assert (odd.record, odd.kind) == (None, "hum")


def test_what_each_record_names() -> None:
    named = {}
    for kind in k.SUBJECTS:
        parsed = read(record(kind))
        assert isinstance(parsed, Parsed)
        assert parsed.record is not None
        named[kind] = k.names(parsed.record)
    assert named["cut"] == {("piece", OTHER), ("item", "method.band-saw"), ("item", "blade.a"),
                            ("item", "trial.one")}  # fmt: skip
    assert named["glue"] == {("cut", OTHER), ("item", "base.hex-40"), ("item", "tray.a1")}
    assert named["check"] == {("piece", OTHER)}
    assert named["retract"] == {("record", OTHER)}
    assert named["define"] == set()
    assert named["water"] == {("item", OTHER)}
