"""Two invented older versions of `check`, their steps to today's, and cases for both languages.

    python -m tests.records.old_checks      writes fixtures/lift/check.json

Version 1 said whether a mouth was open and how many per cent were covered; version 2 named the
mouth; version 3 stands for today's. The file: {envelope, cases: [{name, record, today: body or
null where it is not understood}], fold: {piece, zone, entries: [{at, record}], state}}.
"""

import json
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from api.records.bodies import Body
from api.records.lift import Step
from api.stock.state import Begun, Event, PieceState
from tests.stock.records import CUT, PIECE, Raw, entry

Percent = Annotated[int, Meta(ge=0, le=100)]
FILE = Path(__file__).parents[2] / "fixtures" / "lift" / "check.json"
ZONE = "Indian/Maldives"


class CheckOne(Body, frozen=True):
    open: bool
    covered: Percent | None = None


class CheckTwo(Body, frozen=True):
    mouth: Literal["none", "open"]
    covered: Percent | None = None


def one_to_two(body: CheckOne) -> dict[str, Any]:
    covered = {} if body.covered is None else {"covered": body.covered}
    return {"mouth": "open" if body.open else "none"} | covered


def two_to_three(body: CheckTwo) -> dict[str, Any]:
    covered = {} if body.covered is None else {"encrustation": body.covered // 25}
    return {"mouth": body.mouth} | covered


STEPS = {1: Step(CheckOne, one_to_two), 2: Step(CheckTwo, two_to_three)}


def old(number: int, body: Raw, v: int | None, at: str = "2026-03-02 10:00") -> dict[str, Any]:
    """An entry with a check of that version; None leaves the version out."""
    made = entry(number, at, "check", body)
    record = made["record"] | {"v": v}
    if v is None:
        del record["v"]
    return made | {"record": record}


CASES: list[tuple[str, Raw, Raw | None]] = [
    ("two steps", old(1, {"open": True, "covered": 60}, 1)["record"],
     {"mouth": "open", "encrustation": 2}),
    ("absent stays absent", old(2, {"open": False}, 1)["record"], {"mouth": "none"}),
    ("no version is the first", old(3, {"open": True}, None)["record"], {"mouth": "open"}),
    ("one step", old(4, {"mouth": "none", "covered": 100}, 2)["record"],
     {"mouth": "none", "encrustation": 4}),
    ("today's", old(5, {"mouth": "feeding", "recession": "rim"}, 3)["record"],
     {"mouth": "feeding", "recession": "rim"}),
    ("newer", old(6, {"mouth": "open"}, 4)["record"], None),
    ("another kind", entry(7, 0, "hum", {"tone": 1})["record"], None),
]  # fmt: skip

ENTRIES = [
    entry(10, "2026-03-01 10:00", "glue",
          {"cut": CUT, "base": "base.hex-40", "purpose": "sale"}),
    old(14, {"mouth": "feeding"}, 4, "2026-03-05 10:00"),
    old(12, {"mouth": "open", "covered": 75}, 2, "2026-03-03 10:00"),
    old(11, {"open": False, "covered": 30}, 1, "2026-03-02 10:00"),
    entry(15, "2026-03-06 10:00", "ready", {"for": "sale"}),
]  # fmt: skip
"""Out of order, with one of a newer version that counts for nothing."""

STATE = PieceState(
    id=PIECE, stage="ready", last_at=ENTRIES[4]["at"], last_id=ENTRIES[4]["record"]["id"],
    begun=Begun("glue", ENTRIES[0]["record"]["id"], ENTRIES[0]["at"], "2026-03-01"),
    cut=CUT, base="base.hex-40", purpose="sale",
    glued_for="sale", mouth="open", encrustation=3, checks=2,
    looked="2026-03-06", looked_before="2026-03-03",
    alive="2026-03-06", alive_before="2026-03-03",
    ready_sale=Event(ENTRIES[4]["record"]["id"], "2026-03-03", "2026-03-06"),
)  # fmt: skip
"""By hand."""


def content() -> str:
    """The file's text: one case a line."""
    cases = [{"name": name, "record": record, "today": today} for name, record, today in CASES]
    fold = {
        "piece": PIECE, "zone": ZONE, "entries": ENTRIES, "state": msgspec.to_builtins(STATE),
    }  # fmt: skip
    lines = ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases)
    return f'{{"cases": [\n{lines}\n],\n"fold": {json.dumps(fold, separators=(",", ":"))}}}\n'


if __name__ == "__main__":
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(content())
