"""GET /api/healing/warnings: cuts and trays that lose more than the farm's others of their age."""

from __future__ import annotations

import asyncio
import logging
from dataclasses import replace
from typing import Literal, NamedTuple

import numpy as np
from litestar import get
from litestar.di import NamedDependency
from msgspec import Struct

from api.access.problems import NotHeld
from api.database import Database
from api.healing.errors import HealingError
from api.healing.groups import Members, grouped
from api.healing.rows import IntArray, IntervalRows
from api.healing.sentence import count_of
from api.healing.stock import Stock, read_stock
from api.healing.traits import name_of
from api.healing.warn.expected import expected_losses, others_curves, watched
from api.healing.warn.funnel import Standing, funnel
from api.healing.warn.notes import FEWEST_UNITS, MOST, ORDER, Level, warning_notes
from api.healing.warn.sequential import Alarm, alarms
from api.problems import SignedOut, raises
from api.records.clock import moment, now_ms
from api.records.fields import Moment

_log = logging.getLogger("nubbin")
FALSE_ALARMS = (
    "Of a hundred usual cuts watched all their lives at most five are ever called out as their "
    "losses come in. Beside the others, one to four of a hundred usual cuts or trays stand out as "
    "worth a look on any one day (as many as six where there are few and they differ very much): "
    "of fifty usual ones about one or two, by chance alone, so look before you act."
)


class Warned(Struct, frozen=True):
    """A cut or a tray. `expected` losses are those that pieces watched as long had elsewhere on the
    farm; `since` is the day since its cut on which its losses first stood out, for a cut."""

    kind: Literal["cut", "tray"]
    key: str
    name: str
    day: str | None
    pieces: int
    lost: int
    expected: float
    level: Level
    since: int | None
    sentence: str


class Warnings(Struct, frozen=True):
    """The worst first, a hundred at most. `note` says why nothing stands out, or why nothing can
    be said yet, and what is left out of the list."""

    made_at: Moment
    note: list[str]
    units: list[Warned]
    false_alarms: str


class Unit(NamedTuple):
    """What is watched as a whole."""

    kind: Literal["cut", "tray"]
    key: str
    name: str
    day: str | None


class Units(NamedTuple):
    """Units in order of their keys, and their pieces: `rows` have units as their clusters, `by_cut`
    cuts, since a tray holds cuts of many ages and a piece would have been watched as long as its
    cut was."""

    units: list[Unit]
    rows: IntervalRows
    by_cut: IntervalRows

    @classmethod
    def of(cls, seen: Members, codes: IntArray, units: dict[int, Unit]) -> Units:
        """`codes`, (pieces,), are keys of `units`; pieces of none of them are left out."""
        order = sorted(units, key=lambda code: units[code].key)
        place = np.full(max([*units, int(codes.max(initial=0))], default=0) + 1, -1, np.int64)
        place[order] = np.arange(len(order))
        unit = place[codes]
        rows = seen.rows().select(unit >= 0)
        return cls([units[code] for code in order], replace(rows, cluster=unit[unit >= 0]), rows)


class Weighed(NamedTuple):
    """A unit, how it stands, and since which day it was called out, if it was."""

    unit: Unit
    standing: Standing
    level: Level
    since: int | None


@get("/api/healing/warnings", operation_id="healing_warnings", rule="keeper",
     responses=raises(SignedOut, NotHeld))  # fmt: skip
async def warnings_route(db: NamedDependency[Database]) -> Warnings:
    """Losses that stand out, by cut and by tray, with room for units that differ anyway."""
    now = now_ms()
    stock = await read_stock(db, now)
    return await asyncio.to_thread(warnings, stock, now)


def warnings(stock: Stock, now: int) -> Warnings:
    """Every cut and tray against the others. Pure but for a line in the log."""
    seen = grouped(stock, "method", "sale").all.seen
    cuts, trays = _cuts(stock, seen), _trays(stock, seen)
    found, settled = [], True
    for units in (cuts, trays):
        try:
            found += _weighed(units, sequential=units is cuts)
        except HealingError as error:
            _log.warning("Losses that stand out: %s", error)
            settled = False
    found.sort(key=lambda one: (ORDER[one.level], one.standing.expected - one.standing.lost,
                                one.unit.key))  # fmt: skip
    each = [(one.level, one.standing) for one in found]
    notes = warning_notes(len(cuts.units), len(trays.units), each, settled=settled)
    return Warnings(moment(now), notes, [_warned(one) for one in found[:MOST]], FALSE_ALARMS)


def _cuts(stock: Stock, seen: Members) -> Units:
    codes, cuts = seen.table.cut[seen.at], seen.table.cuts
    found = {code: cuts[code] for code in np.unique(codes).tolist()}
    return Units.of(seen, codes, {
        code: Unit("cut", cut.id, f"{name_of(stock, 'method', cut.method)}, {cut.day}", cut.day)
        for code, cut in found.items()
    })  # fmt: skip


def _trays(stock: Stock, seen: Members) -> Units:
    """By the tray that each piece was glued into."""
    codes = stock.facts.tray[seen.table.place[seen.at]]
    found = {code: stock.words[code] for code in np.unique(codes).tolist() if code}
    return Units.of(seen, codes, {
        code: Unit("tray", key, f"Tray {name_of(stock, 'tank', key)}", None)
        for code, key in found.items()
    })  # fmt: skip


def _weighed(of: Units, *, sequential: bool) -> list[Weighed]:
    """Each unit as it stands; none below FEWEST_UNITS. HealingError where it does not settle."""
    units, rows, by_cut = of
    if len(units) < FEWEST_UNITS:
        return []
    others = others_curves(rows)
    expected = expected_losses(rows, watched(by_cut), others)
    standing = funnel(expected.lost, expected.pieces, expected.expected)
    called = alarms(rows, others) if sequential else [None] * len(units)
    return [_graver(*each) for each in zip(units, standing, called, strict=True)]


def _graver(unit: Unit, standing: Standing, alarm: Alarm | None) -> Weighed:
    """The graver of the two readings: how it stands beside the others, and as its losses came."""
    levels = [standing.level, alarm.level] if alarm else [standing.level]
    worst = min(levels, key=lambda one: ORDER[one])
    level: Level = "as-usual" if worst == "usual" else worst
    return Weighed(unit, standing, level, alarm.since if alarm else None)


def _warned(one: Weighed) -> Warned:
    unit, standing = one.unit, one.standing
    return Warned(
        unit.kind, unit.key, unit.name, unit.day, standing.pieces, standing.lost,
        standing.expected, one.level, one.since,
        _sentence(unit, standing, one.level, one.since),
    )  # fmt: skip


def _sentence(unit: Unit, standing: Standing, level: Level, since: int | None) -> str:
    lost = f"{standing.lost} of {count_of(standing.pieces, 'piece', 'pieces')} lost"
    usual = f"elsewhere about {standing.expected:.1f} of as many are lost by then"
    text = f"{unit.name}: {lost}; {usual}."
    if since is not None and level != "as-usual":
        text += f" It stood out from day {since} on."
    if level == "act":
        return f"{text} Look at it today: signs, water, neighbours."
    return f"{text} Worth a look." if level == "look" else text


routes = [warnings_route]
