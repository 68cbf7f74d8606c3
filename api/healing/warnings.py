"""GET /api/healing/warnings: cuts and trays that lose more than the farm's others of their age."""

import asyncio
import logging
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Literal, NamedTuple

import numpy as np
from litestar import get
from litestar.di import NamedDependency
from msgspec import Struct

from api.access.problems import NotHeld
from api.database import Database
from api.healing.errors import HealingError
from api.healing.groups import Member, all_in_one, grouped
from api.healing.rows import IntervalRows
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
    "losses come in. Beside the others, about three of a hundred usual cuts or trays stand out as "
    "worth a look on any one day (as many as six where there are few and they differ very much): "
    "most that are called out in a large stock are chance, so look before you act."
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
    """What is watched as a whole, with its pieces."""

    kind: Literal["cut", "tray"]
    key: str
    name: str
    day: str | None
    pieces: list[Member]


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
    seen = all_in_one(grouped(stock, "method", "sale").groups).seen
    cuts = _units(seen, lambda one: stock.pieces[one.piece].cut, lambda key: _cut(stock, key))
    trays = _units(seen, lambda one: stock.glued[one.piece].tray, lambda key: _tray(stock, key))
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
    notes = warning_notes(len(cuts), len(trays), each, settled=settled)
    return Warnings(moment(now), notes, [_warned(one) for one in found[:MOST]], FALSE_ALARMS)


def _units(
    seen: Sequence[Member], key_of: Callable[[Member], str | None],
    unit_of: Callable[[str], Unit],
) -> list[Unit]:  # fmt: skip
    units: dict[str, Unit] = {}
    for one in seen:
        key = key_of(one)
        if key is None:
            continue
        if key not in units:
            units[key] = unit_of(key)
        units[key].pieces.append(one)
    return [units[key] for key in sorted(units)]


def _cut(stock: Stock, key: str) -> Unit:
    cut = stock.cuts[key]
    return Unit("cut", key, f"{name_of(stock, 'method', cut.method)}, {cut.day}", cut.day, [])


def _tray(stock: Stock, key: str) -> Unit:
    return Unit("tray", key, f"Tray {name_of(stock, 'tank', key)}", None, [])


def _weighed(units: Sequence[Unit], *, sequential: bool) -> list[Weighed]:
    """Each unit as it stands; none below FEWEST_UNITS. HealingError where it does not settle."""
    if len(units) < FEWEST_UNITS:
        return []
    rows = _rows(units)
    others = others_curves(rows)
    expected = expected_losses(rows, watched(_by_cut(units, rows)), others)
    standing = funnel(expected.lost, expected.pieces, expected.expected)
    called = alarms(rows, others) if sequential else [None] * len(units)
    return [_graver(*each) for each in zip(units, standing, called, strict=True)]


def _graver(unit: Unit, standing: Standing, alarm: Alarm | None) -> Weighed:
    """The graver of the two readings: how it stands beside the others, and as its losses came."""
    levels = [standing.level, alarm.level] if alarm else [standing.level]
    worst = min(levels, key=lambda one: ORDER[one])
    level: Level = "as-usual" if worst == "usual" else worst
    return Weighed(unit, standing, level, alarm.since if alarm else None)


def _rows(units: Sequence[Unit]) -> IntervalRows:
    """All pieces, each unit a cluster."""
    watches = [(one.watch, at) for at, unit in enumerate(units) for one in unit.pieces]
    return IntervalRows.of(
        [watch.left for watch, _ in watches],
        [watch.right for watch, _ in watches],
        [int(watch.cause) for watch, _ in watches if watch.cause is not None],
        np.array([at for _, at in watches], np.int64),
    )


def _by_cut(units: Sequence[Unit], rows: IntervalRows) -> IntervalRows:
    """The same rows with their cuts as clusters: a tray holds cuts of many ages, and a piece would
    have been watched as long as its cut was."""
    cuts = [one.cluster for unit in units for one in unit.pieces]
    number = {cut: at for at, cut in enumerate(sorted(set(cuts)))}
    return replace(rows, cluster=np.array([number[cut] for cut in cuts], np.int64))


def _warned(one: Weighed) -> Warned:
    unit, standing = one.unit, one.standing
    return Warned(
        unit.kind, unit.key, unit.name, unit.day, standing.pieces, standing.lost,
        standing.expected, one.level, one.since,
        _sentence(unit, standing, one.level, one.since),
    )  # fmt: skip


def _sentence(unit: Unit, standing: Standing, level: Level, since: int | None) -> str:
    lost = f"{standing.lost} of {count_of(standing.pieces, 'piece', 'pieces')} lost"
    usual = f"elsewhere pieces watched as long lost {standing.expected:.1f} of so many"
    text = f"{unit.name}: {lost}; {usual}."
    if since is not None and level != "as-usual":
        text += f" It stood out from day {since} on."
    if level == "act":
        return f"{text} Look at it today: signs, water, neighbours."
    return f"{text} Worth a look." if level == "look" else text


routes = [warnings_route]
