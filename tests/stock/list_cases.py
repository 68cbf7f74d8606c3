"""Lists and lineage with results worked out by hand."""

from typing import Any

from tests.stock.records import RawEntry, entry, record_id

TRAY = "tray.a1"


def define(number: int, at: int, fields: dict[str, Any], **more: Any) -> RawEntry:
    body = {"list": "tray", "fields": fields, **more}
    return entry(number, at, "define", body, ("item", TRAY))


def moved(number: int, at: int, **body: Any) -> RawEntry:
    return entry(number, at, "move", body, ("tray", TRAY))


def bound(number: int, at: int, code: str) -> RawEntry:
    return entry(number, at, "bind", {"code": code}, ("tray", TRAY))


def claimed(number: int, at: int, code: str) -> dict[str, Any]:
    return {"code": code, "at": at, "record": record_id(number)}


NOTHING: dict[str, Any] = {"list": "", "fields": {}, "retired": False, "tank": None, "codes": []}
A1 = {**NOTHING, "list": "tray"}

LISTS: list[tuple[str, list[RawEntry], list[int], dict[str, Any]]] = [
    ("nothing defined", [], [], NOTHING),
    ("defined once", [define(1, 10, {"name": "A1", "columns": 8})], [],
     {**A1, "fields": {"name": "A1", "columns": 8}}),
    ("later fields over earlier ones",
     [define(2, 20, {"name": "A one", "rows": 5}), define(1, 10, {"name": "A1", "columns": 8})], [],
     {**A1, "fields": {"name": "A one", "columns": 8, "rows": 5}}),
    ("at one time the higher id is the later",
     [define(3, 10, {"name": "three"}), define(2, 10, {"name": "two"})], [],
     {**A1, "fields": {"name": "three"}}),
    ("a field cleared stays, as null",
     [define(1, 10, {"name": "A1", "rows": 5}), define(2, 20, {"rows": None})], [],
     {**A1, "fields": {"name": "A1", "rows": None}}),
    ("retired, and a later change does not bring it back",
     [define(1, 10, {"name": "A1"}), define(2, 20, {}, retired=True), define(3, 30, {"rows": 4})],
     [], {**A1, "fields": {"name": "A1", "rows": 4}, "retired": True}),
    ("brought back",
     [define(1, 10, {"name": "A1"}, retired=True), define(2, 20, {}, retired=False)], [],
     {**A1, "fields": {"name": "A1"}}),
    ("a change taken back",
     [define(1, 10, {"name": "A1"}), define(2, 20, {"name": "B1"}, retired=True)], [2],
     {**A1, "fields": {"name": "A1"}}),
    ("all taken back", [define(1, 10, {"name": "A1"})], [1], NOTHING),
    ("the tank of the newest move",
     [define(1, 10, {"name": "A1"}), moved(3, 30, tank="tank.two"), moved(2, 20, tank="tank.one")],
     [], {**A1, "fields": {"name": "A1"}, "tank": "tank.two"}),
    ("taken out of its tank",
     [define(1, 10, {"name": "A1"}), moved(2, 20, tank="tank.one"), moved(3, 30)], [],
     {**A1, "fields": {"name": "A1"}}),
    ("every label it was given leads to it, the first time of each",
     [define(1, 10, {"name": "A1"}), bound(3, 30, "22222222"), bound(2, 20, "4JQZKDMN"),
      bound(4, 40, "4JQZKDMN")], [],
     {**A1, "fields": {"name": "A1"},
      "codes": [claimed(2, 20, "4JQZKDMN"), claimed(3, 30, "22222222")]}),
    ("a label taken off again",
     [define(1, 10, {"name": "A1"}), bound(2, 20, "4JQZKDMN")], [2],
     {**A1, "fields": {"name": "A1"}}),
]  # fmt: skip

WILD = {"kind": "arrival", "origin": "wild", "species": "species.one", "line": "Amber 3"}
BOUGHT = {"kind": "arrival", "origin": "farmed", "species": "species.two", "line": "Teal"}


def glued(cut: str, purpose: str = "sale") -> dict[str, Any]:
    return {"kind": "glue", "cut": cut, "purpose": purpose}


def known(base: int | None, plus: int, of: dict[str, Any] = WILD) -> dict[str, Any]:
    return {"species": of["species"], "line": of["line"], "number": {"base": base, "plus": plus}}


def unknown(plus: int) -> dict[str, Any]:
    return {"species": None, "line": None, "number": {"base": None, "plus": plus}}


CUTS = {"cut.1": "colony", "cut.2": "child", "cut.3": "grandchild"}
CHAIN = {"child": glued("cut.1"), "grandchild": glued("cut.2"), "last": glued("cut.3")}
HELD = {
    "child": glued("cut.1", "hold"), "grandchild": glued("cut.2"), "last": glued("cut.3", "hold")
}  # fmt: skip
PLAIN = {"wild_number": 0, "held_back_keeps": False}
KEEPS = {"wild_number": 1, "held_back_keeps": True}

LINEAGE: list[dict[str, Any]] = [
    {"name": "each gluing adds one to a wild colony's 0", "settings": PLAIN, "cuts": CUTS,
     "pieces": {"colony": WILD, **CHAIN},
     "expected": {"colony": known(0, 0), "child": known(0, 1), "grandchild": known(0, 2),
                  "last": known(0, 3)}},
    {"name": "a wild colony counts as 1 where the farm says so",
     "settings": {**PLAIN, "wild_number": 1}, "cuts": CUTS, "pieces": {"colony": WILD, **CHAIN},
     "expected": {"colony": known(1, 0), "child": known(1, 1), "last": known(1, 3)}},
    {"name": "a wild colony's typed number does not count", "settings": PLAIN, "cuts": CUTS,
     "pieces": {"colony": {**WILD, "cut_number": 7}, **CHAIN},
     "expected": {"colony": known(0, 0), "last": known(0, 3)}},
    {"name": "a bought colony's typed number", "settings": PLAIN, "cuts": CUTS,
     "pieces": {"colony": {**BOUGHT, "cut_number": 2}, **CHAIN},
     "expected": {"colony": known(2, 0, BOUGHT), "grandchild": known(2, 2, BOUGHT)}},
    {"name": "a bought colony of unknown number", "settings": PLAIN, "cuts": CUTS,
     "pieces": {"colony": BOUGHT, **CHAIN},
     "expected": {"colony": known(None, 0, BOUGHT), "grandchild": known(None, 2, BOUGHT)}},
    {"name": "held-back pieces keep their mother's number", "settings": KEEPS, "cuts": CUTS,
     "pieces": {"colony": WILD, **HELD},
     "expected": {"child": known(1, 0), "grandchild": known(1, 1), "last": known(1, 1)}},
    {"name": "held-back pieces add one where the farm does not keep", "settings": PLAIN,
     "cuts": CUTS, "pieces": {"colony": WILD, **HELD}, "expected": {"last": known(0, 3)}},
    {"name": "the cut is not known yet", "settings": PLAIN, "cuts": {},
     "pieces": {"child": glued("cut.1")}, "expected": {"child": unknown(1)}},
    {"name": "the mother is not known yet", "settings": PLAIN, "cuts": CUTS,
     "pieces": {"child": glued("cut.1"), "grandchild": glued("cut.2")},
     "expected": {"child": unknown(1), "grandchild": unknown(2)}},
    {"name": "a piece recorded as cut from its own descendant", "settings": PLAIN,
     "cuts": {"cut.1": "grandchild", "cut.2": "child"},
     "pieces": {"child": glued("cut.1"), "grandchild": glued("cut.2")},
     "expected": {"child": unknown(2), "grandchild": unknown(2)}},
    {"name": "a piece recorded as its own mother", "settings": PLAIN, "cuts": {"cut.1": "child"},
     "pieces": {"child": glued("cut.1")}, "expected": {"child": unknown(1)}},
]  # fmt: skip
