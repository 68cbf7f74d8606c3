"""Cases of the fold whose whole result was worked out by hand: looks, losses and readiness.

Days are in the Maldives, five hours east of UTC all year. A piece is glued at 10:00 UTC (15:00
there) on 1 March as record 1, unless the case says otherwise.
"""

from typing import Any

from api.stock.state import Begun, Claim, Event, Flag, LossEvent
from tests.stock.records import CUT, Case, RawEntry, entry, ms, record_id

GLUED_AT = "2026-03-01 10:00"


def glue(number: int = 1, at: str = GLUED_AT, **body: Any) -> RawEntry:
    """A piece glued from CUT, by default without a code, a place or anything optional."""
    return entry(number, at, "glue", {"cut": CUT, "base": "base.hex-40", "purpose": "sale", **body})


def day(number: int, date: int, kind: str, hour: int = 10, **body: Any) -> RawEntry:
    """A record about the piece on a day of March; `for_` stands for `for`."""
    named = {name.rstrip("_"): value for name, value in body.items()}
    return entry(number, f"2026-03-{date:02d} {hour:02d}:00", kind, named)


def last(number: int, date: int, hour: int = 10) -> dict[str, Any]:
    """The key of the newest record folded."""
    return {"last_at": ms(f"2026-03-{date:02d} {hour:02d}:00"), "last_id": record_id(number)}


GLUED: dict[str, Any] = {
    "begun": Begun("glue", record_id(1), ms(GLUED_AT), "2026-03-01"),
    "cut": CUT,
    "base": "base.hex-40",
    "purpose": "sale",
    "glued_for": "sale",
}
MARCH = [f"2026-03-{date:02d}" for date in range(32)]


def seen(on: int, before: int | None = None, checks: int = 1) -> dict[str, Any]:
    """Looked at and alive on a day, and on the day before that one."""
    earlier = None if before is None else MARCH[before]
    return {
        "looked": MARCH[on], "looked_before": earlier,
        "alive": MARCH[on], "alive_before": earlier, "checks": checks,
    }  # fmt: skip


def loss(number: int, after: int | None, by: int, how: Any = "dead", **more: Any) -> LossEvent:
    earlier = None if after is None else MARCH[after]
    return LossEvent(record_id(number), earlier, MARCH[by], how, **more)


HEALING = {**GLUED, "stage": "healing"}
LOST = {**GLUED, "stage": "lost"}
READY = {**GLUED, "stage": "ready"}

CASES = [
    Case("nothing is known of the piece", [], {}),
    Case("glued", [glue()], {**HEALING, **last(1, 1)}),
    Case(
        "lost, later seen alive: alive, flagged, the loss withdrawn",
        [glue(), day(2, 5, "check"), day(3, 9, "loss", how="dead"), day(4, 12, "check")],
        {**HEALING, **last(4, 12), **seen(12, 5, checks=2),
         "flags": [Flag("seen-after-loss", record_id(4), record_id(3))]},
    ),
    Case(
        "missing, later seen in a sweep: alive, flagged",
        [glue(), day(2, 9, "loss", how="missing"), day(3, 12, "check", swept=True)],
        {**HEALING, **last(3, 12), "alive": MARCH[12], "swept": 1,
         "flags": [Flag("seen-after-loss", record_id(3), record_id(2))]},
    ),
    Case(
        "ready, later lost: lost, was ready, no flag",
        [glue(), day(2, 5, "check"), day(3, 20, "ready", for_="sale"),
         day(4, 25, "loss", how="dead", sign="bare", cause="cause.heat")],
        {**LOST, **last(4, 25), **seen(20, 5),
         "ready_sale": Event(record_id(3), MARCH[5], MARCH[20]),
         "loss": loss(4, 20, 25, sign="bare", cause="cause.heat")},
    ),
    Case(
        "lost, later ready: ready, flagged",
        [glue(), day(2, 5, "loss", how="missing"), day(3, 9, "ready", for_="cut")],
        {**READY, **last(3, 9), **seen(9, checks=0),
         "ready_cut": Event(record_id(3), None, MARCH[9]),
         "flags": [Flag("ready-after-loss", record_id(3), record_id(2))]},
    ),
    Case(
        "ready twice: the first stands, no flag",
        [glue(), day(2, 9, "ready", for_="sale"), day(3, 12, "ready", for_="sale")],
        {**READY, **last(3, 12), **seen(12, 9, checks=0),
         "ready_sale": Event(record_id(2), None, MARCH[9])},
    ),
    Case(
        "ready for both: two events, each after the look before its own day",
        [glue(), day(2, 9, "ready", for_="sale"), day(3, 12, "ready", for_="cut")],
        {**READY, **last(3, 12), **seen(12, 9, checks=0),
         "ready_sale": Event(record_id(2), None, MARCH[9]),
         "ready_cut": Event(record_id(3), MARCH[9], MARCH[12])},
    ),
    Case(
        "ready for both on one day: the first is no earlier look for the second",
        [glue(), day(2, 5, "check"), day(3, 9, "ready", for_="sale"),
         day(4, 9, "ready", 11, for_="cut")],
        {**READY, **last(4, 9, 11), **seen(9, 5),
         "ready_sale": Event(record_id(3), MARCH[5], MARCH[9]),
         "ready_cut": Event(record_id(4), MARCH[5], MARCH[9])},
    ),
    Case(
        "checked and ready on one day: the interval opens at the look before that day",
        [glue(), day(2, 5, "check"), day(3, 9, "check", 8), day(4, 9, "ready", for_="sale")],
        {**READY, **last(4, 9), **seen(9, 5, checks=2),
         "ready_sale": Event(record_id(4), MARCH[5], MARCH[9])},
    ),
    Case(
        "seen alive and lost on one day: lost after the day before that it was seen",
        [glue(), day(2, 5, "check", swept=True), day(3, 9, "check", 8, swept=True),
         day(4, 9, "loss", how="dead")],
        {**LOST, **last(4, 9), "swept": 2, "alive": MARCH[9], "alive_before": MARCH[5],
         "loss": loss(4, 5, 9)},
    ),
    Case(
        "missing, later found dead: lost between the last time seen and the day it was missed",
        [glue(), day(2, 5, "check"), day(3, 9, "loss", how="missing"),
         day(4, 20, "loss", how="dead", sign="overgrown", cause="cause.unknown")],
        {**LOST, **last(4, 20), **seen(5),
         "loss": loss(4, 5, 9, sign="overgrown", cause="cause.unknown")},
    ),
    Case(
        "dead, later missing: dead stands",
        [glue(), day(2, 9, "loss", how="dead"), day(3, 20, "loss", how="missing")],
        {**LOST, **last(3, 20), "loss": loss(2, None, 9)},
    ),
    Case(
        "missing twice: the first stands",
        [glue(), day(2, 9, "loss", how="missing"), day(3, 20, "loss", how="missing")],
        {**LOST, **last(3, 20), "loss": loss(2, None, 9, "missing")},
    ),
    Case(
        "lost, seen alive, lost again: the second loss counts from when it was seen",
        [glue(), day(2, 5, "loss", how="missing"), day(3, 9, "check"),
         day(4, 20, "loss", how="dead")],
        {**LOST, **last(4, 20), **seen(9), "loss": loss(4, 9, 20),
         "flags": [Flag("seen-after-loss", record_id(3), record_id(2))]},
    ),
    Case(
        "a loss that is taken back never was",
        [glue(), day(2, 5, "loss", how="dead"), day(3, 9, "check")],
        {**HEALING, **last(3, 9), **seen(9)},
        retracted=[2],
    ),
    Case(
        "the newest record taken back: the state ends with the one before",
        [glue(), day(2, 5, "check"), day(3, 9, "ready", for_="sale")],
        {**HEALING, **last(2, 5), **seen(5)},
        retracted=[3],
    ),
    Case(
        "a look without a word keeps what was seen before, but clears the signs",
        [glue(encrustation=1),
         day(2, 5, "check", expansion="half", mouth="bud", encrustation=2, recession="rim",
             signs=["algae", "loose"]),
         day(3, 9, "check", mouth="open")],
        {**HEALING, **last(3, 9), **seen(9, 5, checks=2), "start": 1, "expansion": "half",
         "mouth": "open", "encrustation": 2, "recession": "rim", "signs": []},
    ),
    Case(
        "a swept check tells only that it lives",
        [glue(), day(2, 5, "check", mouth="open"),
         day(3, 9, "check", swept=True, mouth="feeding", signs=["pest"])],
        {**HEALING, **last(3, 9), "looked": MARCH[5], "alive": MARCH[9], "alive_before": MARCH[5],
         "checks": 1, "swept": 1, "mouth": "open"},
    ),
    Case(
        "two checks on one day are one day of looking",
        [glue(), day(2, 5, "check"), day(3, 9, "check", 8), day(4, 9, "check")],
        {**HEALING, **last(4, 9), **seen(9, 5, checks=3)},
    ),
    Case(
        "in the evening by UTC it is the next day there",
        [glue(), day(2, 5, "check", 18), day(3, 5, "check", 19)],
        {**HEALING, **last(3, 5, 19), **seen(6, 5, checks=2)},
    ),
    Case(
        "the order of one moment is that of the ids",
        [glue(), day(3, 5, "check", mouth="open"), day(2, 5, "check", mouth="bud")],
        {**HEALING, **last(3, 5), **seen(5, checks=2), "mouth": "open"},
    ),
    Case(
        "a code given at gluing, and another later",
        [glue(code="4JQZKDMN"), day(2, 5, "bind", code="22222222")],
        {**HEALING, **last(2, 5),
         "codes": [Claim("4JQZKDMN", ms(GLUED_AT), record_id(1)),
                   Claim("22222222", ms("2026-03-05 10:00"), record_id(2))]},
    ),
    Case(
        "the same code bound twice to the piece: the earlier holds",
        [glue(), day(2, 5, "bind", code="22222222"), day(3, 9, "bind", code="22222222")],
        {**HEALING, **last(3, 9),
         "codes": [Claim("22222222", ms("2026-03-05 10:00"), record_id(2))]},
    ),
]  # fmt: skip
