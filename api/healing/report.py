"""GET /api/healing: when pieces are ready, how many are lost, and how sure that is, by group.

The arithmetic runs in a thread of its own, so that pushes and pulls are answered meanwhile.
"""

import asyncio
import logging
from collections.abc import Iterable
from typing import Annotated

from litestar import get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec.structs import replace

from api.access.problems import NotHeld
from api.database import Database
from api.healing.errors import NotSettledError
from api.healing.estimate import Estimate, estimate, how_much
from api.healing.groups import By, Members, grouped
from api.healing.loss import horizon_of, losses
from api.healing.notes import gap_days, group_notes
from api.healing.report_notes import report_notes
from api.healing.sentence import sentence
from api.healing.shapes import DaysSeen, Group, LossByDay, Report, Show
from api.healing.stock import Stock, read_stock
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms
from api.records.fields import Endpoint

_log = logging.getLogger("nubbin")
_NOT_SETTLED = "The curve could not be worked out to its promised accuracy and is not shown."


@get("/api/healing", operation_id="healing", rule="keeper",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def healing_route(
    db: NamedDependency[Database],
    by: Annotated[By, Parameter(description="what the groups are made by")] = "method",
    endpoint: Annotated[Endpoint, Parameter(description="ready for sale, or to be cut")] = "sale",
    trial: Annotated[str | None, Parameter(description="one trial's pieces, by arm")] = None,
) -> Report:
    """Days to ready and shares lost, by group; of one trial by the arms that were drawn."""
    if by == "arm" and trial is None:
        raise BadRequest("Arms are compared within one trial: name it. Nothing was changed.")
    return await report(db, by if trial is None else "arm", endpoint, now_ms(), trial)


async def report(
    db: Database, by: By, endpoint: Endpoint, now: int, trial: str | None = None
) -> Report:
    """The report on the stock as it stands; `now` in UTC milliseconds."""
    stock = await read_stock(db, now)
    return await asyncio.to_thread(work_out, stock, by, endpoint, now, trial)


def work_out(
    stock: Stock, by: By, endpoint: Endpoint, now: int, trial: str | None = None
) -> Report:
    """The report of a stock already read. Pure but for a line in the log."""
    found = grouped(stock, by, endpoint, trial)
    horizon = horizon_of(found.groups)
    lost: Iterable[LossByDay | None] = [None] * len(found.groups)
    if horizon is not None:
        lost = losses(found.groups, horizon)
    shown = [
        _group(members, loss, by, endpoint)
        for members, loss in zip(found.groups, lost, strict=True)
    ]  # fmt: skip
    notes = report_notes(found, shown, by, horizon)
    return Report(by, endpoint, moment(now), shown, notes)


def _group(members: Members, loss: LossByDay | None, by: By, endpoint: Endpoint) -> Group:
    show = how_much(members.count("ready"), members.cuts())
    settled = True
    try:
        shape = estimate(members.rows(), show)
    except NotSettledError as error:
        _log.warning("Healing of %s: %s", members.key, error)
        show, shape, settled = "range", None, False
    plain = _plain(members, loss, show, shape)
    notes = group_notes(members, plain, by, endpoint)
    words = sentence(plain, endpoint)
    return replace(plain, sentence=words, notes=notes if settled else [_NOT_SETTLED, *notes])


def _plain(members: Members, loss: LossByDay | None, show: Show, shape: Estimate | None) -> Group:
    """A group's numbers, without its words."""
    watches = [one.watch for one in members.pieces]
    return Group(
        key=members.key,
        name=members.name,
        pieces=len(watches),
        cuts=members.cuts(),
        ready=members.count("ready"),
        lost=members.count("lost"),
        healing=members.count("healing"),
        withdrawn=members.count("withdrawn"),
        never_checked=members.count("never-checked"),
        lost_after_ready=sum(1 for one in watches if one.lost_after_ready),
        missing=sum(1 for one in watches if one.missing),
        excluded=members.excluded.total(),
        show=show,
        sentence="",
        observed=_days_seen(one.right for one in watches if one.fate == "ready"),
        found_lost=_days_seen(one.right for one in watches if one.fate == "lost"),
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


def _days_seen(days: Iterable[int]) -> DaysSeen | None:
    found = sorted(days)
    return DaysSeen(found[0], found[-1]) if found else None


routes = [healing_route]
