"""GET /api/healing: when pieces are ready, how many are lost, and how sure that is, by group.

The arithmetic runs in a thread of its own, so that pushes and pulls are answered meanwhile.
"""

import asyncio
import logging
from collections import Counter
from typing import NamedTuple

import numpy as np
from litestar import get
from litestar.di import NamedDependency
from msgspec.structs import replace

from api.access.problems import NotHeld
from api.database import Database
from api.healing.asked import ASKED, Asked
from api.healing.bands import band_of, replicates_of
from api.healing.errors import NotSettledError
from api.healing.estimate import CUTS_FOR_INTERVAL, Estimate, how_much, shown_of
from api.healing.groups import Grouped, Members, grouped
from api.healing.incidence import fit_incidence
from api.healing.intervals import LOST, READY
from api.healing.loss import horizon_of, loss_by, ripe
from api.healing.notes import gap_days, group_notes
from api.healing.report_notes import report_notes
from api.healing.rows import BoolArray, Cause, IntArray
from api.healing.sentence import sentence
from api.healing.shapes import Choice, DaysSeen, Group, LossByDay, Report, Show, Unit
from api.healing.stock import Stock, read_stock
from api.healing.traits import BYS, UNKNOWN, name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms

_log = logging.getLogger("nubbin")
_NOT_SETTLED = "The curve could not be worked out to its promised accuracy and is not shown."


@get("/api/healing", operation_id="healing", rule="keeper",
     dependencies=ASKED, responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def healing_route(db: NamedDependency[Database], asked: NamedDependency[Asked]) -> Report:
    """Days to ready and shares lost, by group; of one trial by the arms that were drawn."""
    return await report(db, asked, now_ms())


async def report(db: Database, asked: Asked, now: int) -> Report:
    """The report on the stock as it stands; `now` in UTC milliseconds."""
    stock = await read_stock(db, now, tanks=True)
    return await asyncio.to_thread(work_out, stock, asked, now)


def work_out(stock: Stock, asked: Asked, now: int) -> Report:
    """The report of a stock already read. Pure but for a line in the log."""
    found = grouped(stock, asked.by, asked.endpoint, asked.trial, asked.only)
    horizon = horizon_of(found.all)
    last = None if horizon is None else Last(horizon, ripe(found.all.table, horizon))
    shown = [_group(members, last, asked) for members in found.groups]
    whole = _group(found.all, last, asked) if len(shown) > 1 else None
    only = asked.only
    every = shown if whole is None else [*shown, whole]
    return Report(
        by=asked.by, endpoint=asked.endpoint, made_at=moment(now), groups=shown, all=whole,
        note=report_notes(found, every, asked.by, horizon, only), choices=choices(stock, found),
        trial=asked.trial, since=only.since, until=only.until, only=only.written(),
    )  # fmt: skip


def choices(stock: Stock, found: Grouped) -> list[Choice]:
    """What the report can be narrowed by: traits of which at least two values are known."""
    many = Counter(trait for trait, value in found.values if value != UNKNOWN)
    return [
        Choice(trait, value, name_of(stock, trait, value), count)
        for (trait, value), count in sorted(
            found.values.items(), key=lambda one: (BYS.index(one[0][0]), -one[1], one[0][1])
        )
        if many[trait] > 1
    ]


class Last(NamedTuple):
    """The day by which losses are counted, and which pieces of the table were watched as far."""

    horizon: int
    ripe: BoolArray


def _group(members: Members, last: Last | None, asked: Asked) -> Group:
    show = how_much(members.count("ready"), members.cuts())
    found, settled = Found(None, None), True
    try:
        found = _found(members, show, last)
    except NotSettledError as error:
        _log.warning("Healing of %s: %s", members.key, error)
        show, settled = "range", False
    unit: Unit = "tank" if asked.by == "care" else "cut"
    plain = _plain(members, found, show, unit)
    notes = group_notes(members, plain, asked.by, asked.endpoint)
    words = sentence(plain, asked.endpoint)
    return replace(plain, sentence=words, notes=notes if settled else [_NOT_SETTLED, *notes])


class Found(NamedTuple):
    """What may be shown of a group's curves, and its share lost."""

    shape: Estimate | None
    loss: LossByDay | None


def _found(members: Members, show: Show, last: Last | None) -> Found:
    """Losses need no ready pieces, and are worked out also where curves are not shown."""
    sure = members.cuts() >= CUTS_FOR_INTERVAL
    if show == "range" and not (sure and last):
        return Found(None, None)
    rows = members.rows()
    fit = fit_incidence(rows)
    again = replicates_of(rows, fit) if sure else None
    band = band_of(fit, Cause.READY, again) if again and show == "full" else None
    return Found(
        None if show == "range" else shown_of(rows, fit, band),
        loss_by(members, (fit, again), *last) if again and last else None,
    )  # fmt: skip


def _plain(members: Members, found: Found, show: Show, unit: Unit) -> Group:
    """A group's numbers, without its words."""
    shape, loss = found
    watch = members.watch
    return Group(
        key=members.key,
        name=members.name,
        unit=unit,
        pieces=members.size,
        cuts=members.cuts(),
        ready=members.count("ready"),
        lost=members.count("lost"),
        healing=members.count("healing"),
        withdrawn=members.count("withdrawn"),
        never_checked=members.count("never-checked"),
        lost_after_ready=int(np.count_nonzero(watch.lost_after_ready)),
        missing=int(np.count_nonzero(watch.missing)),
        excluded=int(members.out.size),
        show=show,
        sentence="",
        observed=_days_seen(watch.right[watch.fate == READY]),
        found_lost=_days_seen(watch.right[watch.fate == LOST]),
        estimate=shape.half if shape else None,
        median=shape.median if shape else None,
        middle=shape.middle if shape else None,
        loss=loss,
        curve=shape.curve if shape else [],
        band=shape.band if shape else None,
        stops_at=shape.stops_at if shape else None,
        gap_days=gap_days(members),
        notes=[],
    )


def _days_seen(days: IntArray) -> DaysSeen | None:
    return DaysSeen(int(days.min()), int(days.max())) if days.size else None


routes = [healing_route]
