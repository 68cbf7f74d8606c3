"""A whole record of every kind, each with all of its fields."""

from typing import Any

import msgspec

from api.records import kinds as k
from api.records.parse import Broken, Parsed, parse

ID = "01890a5d-ac96-774b-bcce-b302099a8057"
OTHER = "01890a5d-ac96-774b-bcce-b302099a8058"
BODIES: dict[str, dict[str, Any]] = {
    "arrival": {"line": "Amber", "species": "species.lobo", "origin": "wild", "cut_number": 0,
                "documents": ["permit as typed"], "mouths": 3, "size_mm": 120, "code": "23456789",
                "quarantine_days": 30, "came_from": "Reef 4", "came_on": "2026-02-28",
                "document": "P 12/26", "source_code": "W"},
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
              "signs": ["algae"], "lights": "off", "planned": True, "swept": True,
              "found": "place"},
    "ready": {"for": "cut"},
    "loss": {"how": "dead", "sign": "bare", "cause": "cause.unknown"},
    "exit": {"how": "dispatched", "to": "Order 7"},
    "move": {"tray": "tray.a1", "place": "B7", "tank": "tank.north"},
    "purpose": {"purpose": "sale"},
    "care": {"what": "feed", "name": "plankton", "amount": "30", "unit": "mL"},
    "water": {"readings": [{"quantity": "nitrate", "value": "0.2", "unit": "mg/L",
                            "below": True, "at_c": "25"}]},
    "photo": {"sha256": "a" * 64, "bytes": 1000, "media": "image/jpeg", "day0": True},
    "note": {"text": "green\nrim", "about": "colour"},
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
