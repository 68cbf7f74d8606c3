"""Cases of the fold worked out by hand: beginnings, places, cuts of the piece, and leaving."""

from api.stock.state import Begun, Claim, Event, ExitEvent, Flag, Withdrawn
from tests.stock.hand_cases import GLUED, GLUED_AT, HEALING, MARCH, day, glue, last, loss, seen
from tests.stock.records import CUT, PIECE, SITTING, Case, RawEntry, entry, ms, record_id

OTHER_CUT = "01890000-0000-7000-8000-00000000c002"
CODE = "4JQZKDMN"


def cut(number: int, date: int, subject: str = OTHER_CUT) -> RawEntry:
    """The piece itself is cut on a day of March."""
    body = {"sitting": SITTING, "mother": PIECE, "method": "method.band-saw"}
    return entry(number, f"2026-03-{date:02d} 10:00", "cut", body, ("cut", subject))


def cut_end(number: int, date: int, **body: str) -> RawEntry:
    return entry(number, f"2026-03-{date:02d} 10:00", "cut_end", body, ("cut", OTHER_CUT))


ARRIVAL = {
    "line": "Amber 3", "species": "species.acanthastrea", "origin": "farmed", "cut_number": 2,
    "size_mm": 55, "mouths": 4, "documents": ["permit as typed"], "code": CODE,
}  # fmt: skip
COLONY = {
    "stage": "colony",
    "begun": Begun("arrival", record_id(1), ms(GLUED_AT), "2026-03-01"),
    "codes": [Claim(CODE, ms(GLUED_AT), record_id(1))],
    "line": "Amber 3", "species": "species.acanthastrea", "origin": "farmed", "cut_number": 2,
    "size_mm": 55,
}  # fmt: skip
EXITED = {**GLUED, "stage": "exited"}

CASES = [
    Case("a colony arrives", [entry(1, GLUED_AT, "arrival", ARRIVAL)], {**COLONY, **last(1, 1)}),
    Case(
        "everything that can be said at gluing",
        [glue(code=CODE, mouths_kept=3, size_mm=22, encrustation=1, tray="tray.a1", place="B7",
              arm="arm.two")],
        {**HEALING, **last(1, 1), "codes": [Claim(CODE, ms(GLUED_AT), record_id(1))],
         "mouths_kept": 3, "size_mm": 22, "start": 1, "encrustation": 1, "arm": "arm.two",
         "tray": "tray.a1", "place": "B7"},
    ),
    Case(
        "begun twice: the first stands, flagged",
        [glue(), day(2, 2, "glue", cut=OTHER_CUT, base="base.disc-30", purpose="hold", code=CODE)],
        {**HEALING, **last(2, 2), "flags": [Flag("begun-twice", record_id(2), record_id(1))]},
    ),
    Case(
        "the first beginning taken back: the second stands",
        [glue(), day(2, 2, "glue", cut=OTHER_CUT, base="base.disc-30", purpose="hold")],
        {**last(2, 2), "stage": "healing",
         "begun": Begun("glue", record_id(2), ms("2026-03-02 10:00"), MARCH[2]),
         "cut": OTHER_CUT, "base": "base.disc-30", "purpose": "hold", "glued_for": "hold"},
        retracted=[1],
    ),
    Case(
        "check before glue: kept, flagged, counts for nothing",
        [glue(2), entry(1, "2026-02-20 10:00", "check", {"mouth": "open"})],
        {**HEALING, **last(2, 1), "begun": Begun("glue", record_id(2), ms(GLUED_AT), MARCH[1]),
         "flags": [Flag("before-glue", record_id(1), None)]},
    ),
    Case(
        "gluing taken back: what was seen later is flagged",
        [glue(), day(2, 5, "check"), day(3, 9, "loss", how="dead")],
        {**last(3, 9), "flags": [Flag("before-glue", record_id(2), None),
                                 Flag("before-glue", record_id(3), None)]},
        retracted=[1],
    ),
    Case(
        "two moves at one time: the higher id stands, flagged",
        [glue(), day(3, 5, "move", tray="tray.a2", place="C3"),
         day(2, 5, "move", tray="tray.a1", place="B7")],
        {**HEALING, **last(3, 5), "tray": "tray.a2", "place": "C3",
         "moved_at": ms("2026-03-05 10:00"), "moved_by": record_id(3),
         "flags": [Flag("moves-at-once", record_id(3), record_id(2))]},
    ),
    Case(
        "a move says all of where it stands: out of the tray into a tank",
        [glue(tray="tray.a1", place="B7"), day(2, 5, "move", tank="tank.two")],
        {**HEALING, **last(2, 5), "tank": "tank.two", "moved_at": ms("2026-03-05 10:00"),
         "moved_by": record_id(2)},
    ),
    Case(
        "moved before it was glued, by a clock that is off: the move stands",
        [glue(2, tray="tray.a1", place="B7"),
         entry(1, "2026-02-20 10:00", "move", {"tray": "tray.a2", "place": "C3"})],
        {**HEALING, **last(2, 1), "begun": Begun("glue", record_id(2), ms(GLUED_AT), MARCH[1]),
         "tray": "tray.a2", "place": "C3", "moved_at": ms("2026-02-20 10:00"),
         "moved_by": record_id(1)},
    ),
    Case(
        "now held back instead of for sale",
        [glue(), day(2, 5, "purpose", purpose="hold")],
        {**HEALING, **last(2, 5), "purpose": "hold"},
    ),
    Case(
        "check, loss, readiness and leaving after it had left: flagged, ignored",
        [glue(), day(2, 5, "exit", how="dispatched", to="order 12"), day(3, 6, "check"),
         day(4, 7, "loss", how="dead"), day(5, 8, "ready", for_="sale"),
         day(6, 9, "exit", how="culled")],
        {**EXITED, **last(6, 9),
         "exit": ExitEvent(record_id(2), MARCH[5], "dispatched", "order 12"),
         "flags": [Flag("after-exit", record_id(n), record_id(2)) for n in (3, 4, 5, 6)]},
    ),
    Case(
        "leaving taken back: what came after counts again",
        [glue(), day(2, 5, "exit", how="given"), day(3, 6, "check")],
        {**HEALING, **last(3, 6), **seen(6)},
        retracted=[2],
    ),
    Case(
        "cut itself: its healing ends with the looks until then; a second cut changes nothing",
        [glue(), day(2, 5, "check"), day(3, 7, "check", swept=True), cut(4, 9), day(5, 12, "check"),
         cut(6, 20, CUT)],
        {**HEALING, **last(6, 20), "looked": MARCH[12], "looked_before": MARCH[5],
         "alive": MARCH[12], "alive_before": MARCH[7], "checks": 2, "swept": 1, "cuts": 2,
         "last_cut": MARCH[20], "withdrawn": Withdrawn(record_id(4), MARCH[9], MARCH[5], MARCH[7])},
    ),
    Case(
        "used up as a mother: it has left",
        [glue(), day(2, 5, "ready", for_="cut"), cut(3, 9), cut_end(4, 9, remains="used-up")],
        {**EXITED, **last(4, 9), **seen(5, checks=0), "cuts": 1, "last_cut": MARCH[9],
         "ready_cut": Event(record_id(2), None, MARCH[5]),
         "withdrawn": Withdrawn(record_id(3), MARCH[9], MARCH[5], MARCH[5]),
         "exit": ExitEvent(record_id(4), MARCH[9], "cut-up")},
    ),
    Case(
        "used up after it had left otherwise: how it left stands",
        [glue(), day(2, 5, "exit", how="culled"), cut_end(3, 9, remains="used-up")],
        {**EXITED, **last(3, 9), "exit": ExitEvent(record_id(2), MARCH[5], "culled")},
    ),
    Case(
        "cut and put on a new base",
        [glue(), cut(2, 9), cut_end(3, 9, remains="new-base", base="base.disc-30")],
        {**HEALING, **last(3, 9), "base": "base.disc-30", "cuts": 1, "last_cut": MARCH[9],
         "withdrawn": Withdrawn(record_id(2), MARCH[9], None, None)},
    ),
    Case(
        "cut and left on its base",
        [glue(), cut(2, 9), cut_end(3, 9, remains="same-base")],
        {**HEALING, **last(3, 9), "cuts": 1, "last_cut": MARCH[9],
         "withdrawn": Withdrawn(record_id(2), MARCH[9], None, None)},
    ),
    Case(
        "cut before it was glued, while recorded lost, and after it had left: each counts, flagged",
        [cut(1, 1), glue(2, "2026-03-02 10:00"), day(3, 5, "loss", how="missing"), cut(4, 6),
         day(5, 7, "exit", how="culled"), cut(6, 8)],
        {**GLUED, "begun": Begun("glue", record_id(2), ms("2026-03-02 10:00"), MARCH[2]),
         **last(6, 8), "stage": "exited", "loss": loss(3, None, 5, "missing"),
         "exit": ExitEvent(record_id(5), MARCH[7], "culled"), "cuts": 3, "last_cut": MARCH[8],
         "withdrawn": Withdrawn(record_id(1), MARCH[1], None, None),
         "flags": [Flag("cut-before-begun", record_id(1), None),
                   Flag("cut-after-loss", record_id(4), record_id(3)),
                   Flag("cut-after-exit", record_id(6), record_id(5))]},
    ),
    Case(
        "notes, photos and care are kept in its history and change nothing else",
        [glue(), day(2, 5, "note", text="by the pump"), day(3, 6, "care", what="feed"),
         day(4, 7, "photo", sha256="0" * 64, bytes=1200, media="image/jpeg", day0=True)],
        {**HEALING, **last(4, 7)},
    ),
]  # fmt: skip
