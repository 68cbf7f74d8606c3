"""GET /api/healing/likely: when each piece that is still healing is likely ready, and how many.

The model (`predict`) learns from every piece of the farm; what the last check saw of mouth and
encrustation enters where earlier checks show that it foretells. No date is given for a piece that
has healed longer than such pieces do, or has hardly a chance left. Where a method's curve by the
model lies far from its plain curve the dates stay, and a note names the method: a warning, since
the plain curve has no date to put in their place for one piece of its own cut and last look.
"""

import asyncio
import dataclasses
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Annotated, NamedTuple

import numpy as np
from litestar import get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec.structs import replace

from api.access.problems import NotHeld
from api.database import Database, Row
from api.healing.asked import EndpointParameter
from api.healing.behind import codes_of, ids_of
from api.healing.covariates import PREDICTING, covariates
from api.healing.errors import NotSettledError
from api.healing.groups import Members, grouped
from api.healing.intervals import HEALING, READY
from api.healing.likely_notes import NO_MODEL, likely_notes, too_early
from api.healing.likely_shapes import Likely, LikelyPiece, LikelyWeek
from api.healing.looks import Look, read_looks, some, stage_of, step_of
from api.healing.predict.chance import Chances, predict
from api.healing.predict.checks import far_from_plain
from api.healing.predict.forecast import Counts, forecast
from api.healing.predict.landmark import Seen
from api.healing.predict.landmark_fit import Looks, learn
from api.healing.predict.model import Model, Standing
from api.healing.predict.pooled import fit
from api.healing.rows import MAX_DAY, IntArray
from api.healing.stock import Stock, read_stock
from api.healing.traits import UNKNOWN, name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms
from api.records.fields import Endpoint
from api.stock.facts import ordinal
from api.stock.projection import decode_state
from api.stock.state import PieceState

WEEKS = 12
HARDLY = 0.01
"""A piece with less of a chance to get ready at all is given no date."""


class Watched(NamedTuple):
    """The pieces that were looked at; the places among them of those still healing of which
    something is asked; and the states of these."""

    seen: Members
    chosen: IntArray
    states: list[PieceState]


@get("/api/healing/likely", operation_id="healing_likely", rule="keeper",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def likely_route(
    db: NamedDependency[Database],
    endpoint: EndpointParameter = "sale",
    tray: Annotated[str | None, Parameter(description="only pieces in this tray")] = None,
) -> Likely:
    """Likely days of getting ready, by piece and by week, from how pieces like them did."""
    now = now_ms()
    stock = await read_stock(db, now, ids=True)
    watched = await read_watched(db, stock, endpoint, tray)
    starts = await asyncio.to_thread(starts_of, stock, watched)
    looks = await read_looks(db, starts, stock.facility.zone)
    found = await asyncio.to_thread(likely, stock, endpoint, now, watched, looks)
    codes = await codes_of(db, [one.id for one in found.pieces])
    return replace(
        found, pieces=[replace(one, code=codes.get(one.id)) for one in found.pieces]
    )  # fmt: skip


async def read_watched(
    db: Database, stock: Stock, endpoint: Endpoint, tray: str | None = None
) -> Watched:
    """Every piece that was looked at, and those still healing, with `tray` only those in it.
    `stock` is read with its pieces' ids."""
    seen = (await asyncio.to_thread(grouped, stock, "method", endpoint)).all.seen
    healing = np.flatnonzero(seen.watch.fate == HEALING)
    place = dict(zip(ids_of(stock, seen.select(healing)), healing.tolist(), strict=True))
    if tray is None:
        rows = await db.rows_in("SELECT id, state FROM piece WHERE id IN (?)", place)
    else:
        rows = await db.rows("SELECT id, state FROM piece WHERE tray = ?", tray)
    return await asyncio.to_thread(_watched, seen, place, rows)


def _watched(seen: Members, place: dict[str, int], rows: list[Row]) -> Watched:
    """Those of the stored pieces that have a place, in its order, whatever the database's."""
    rows = sorted((row for row in rows if row["id"] in place), key=lambda row: place[row["id"]])
    at = np.array([place[row["id"]] for row in rows], np.int64)
    return Watched(seen, at, [decode_state(row["state"]) for row in rows])


def starts_of(stock: Stock, watched: Watched) -> dict[str, int | None]:
    """Pieces whose looks teach something, and the encrustation that each was glued with."""
    if not watched.states:
        return {}
    seen = watched.seen
    kinds = [None if value == UNKNOWN else int(value) for value in seen.values("start")]
    starts = [kinds[code] for code in seen.codes("start").tolist()]
    known = dict(zip(ids_of(stock, seen), starts, strict=True))
    return {piece: known[piece] for piece in some(known)}


def likely(
    stock: Stock, endpoint: Endpoint, now: int, watched: Watched, looks: Sequence[Look] = ()
) -> Likely:
    """What can be said of every piece still healing, but for its code. Pure; `looks` are earlier
    ones at any pieces of the farm."""
    why_not = too_early(len(watched.states), watched.seen.count("ready"))
    if why_not is None:
        try:
            return _answer(stock, endpoint, now, watched, looks)
        except NotSettledError:
            why_not = NO_MODEL
    return Likely(moment(now), endpoint, [why_not], 0.0, [], [])


def _answer(
    stock: Stock, endpoint: Endpoint, now: int, watched: Watched, looks: Sequence[Look]
) -> Likely:
    seen = watched.seen
    model, standing, far = _model(stock, watched, looks)
    found = predict(model, standing)
    weeks = forecast(model, standing, WEEKS)
    today = date.fromisoformat(stock.today)
    latest = int(seen.watch.right[seen.watch.fate == READY].max())
    late = found.outside | (standing.left >= latest)
    hopeless = ~late & ((found.ever < HARDLY) | (found.high > MAX_DAY))
    undated = late | hopeless
    begun = [today - timedelta(days=age) for age in seen.age[watched.chosen].tolist()]
    names = [name_of(stock, "method", value) for value in seen.values("method")]
    methods = seen.codes("method")[watched.chosen].tolist()
    pieces = [
        _piece(state, begun[at], names[methods[at]], found, at, outside=bool(undated[at]))
        for at, state in enumerate(watched.states)
    ]
    pieces.sort(key=lambda one: (one.day is None, one.day or "", one.id))
    by_looks = model.landmark is not None
    strays = [names[code] for code in far]
    notes = likely_notes(int(late.sum()), int(hopeless.sum()), strays, by_looks=by_looks)
    return Likely(
        moment(now), endpoint, notes, weeks.already, pieces, _weeks(weeks.within, today), by_looks
    )


def _model(
    stock: Stock, watched: Watched, looks: Sequence[Look]
) -> tuple[Model, Standing, list[int]]:
    """The fitted model, the pieces as it takes them, and methods in which it strays."""
    seen, at, states = watched
    rows = seen.rows()
    methods, group = np.unique(seen.codes("method"), return_inverse=True)
    x, _ = covariates(seen, PREDICTING, whole=False)
    model = fit(rows, group, x)
    far = [int(methods[apart.group]) for apart in far_from_plain(model, rows, group, x)]
    earlier = _looks(stock, seen, looks)
    model = dataclasses.replace(model, landmark=learn(model, rows, group, x, earlier))
    last = Seen.of([stage_of(one.mouth) for one in states],
                   [step_of(one.encrustation) for one in states])  # fmt: skip
    # A phone's clock may be ahead, and a piece then seen after today.
    today = np.maximum(seen.age[at], seen.watch.right[at])
    left, alive = seen.watch.left[at], seen.watch.right[at]
    return model, Standing.of(left, alive, today, group[at], rows.cluster[at], x[at], last), far


def _looks(stock: Stock, seen: Members, looks: Sequence[Look]) -> Looks:
    """Looks since the cut, as the model takes them."""
    place = {piece: at for at, piece in enumerate(ids_of(stock, seen))}
    cut = seen.table.cut[seen.at].tolist()
    columns: list[tuple[int, int, int, int]] = []
    for look in looks:
        at = place.get(look.piece)
        if at is None:
            continue
        day = ordinal(look.day) - ordinal(seen.table.cuts[cut[at]].day)
        if day >= 0:
            columns.append((at, day, look.mouth, look.encrustation))
    return Looks.of(*np.array(columns, np.int64).reshape(-1, 4).T)


def _piece(
    state: PieceState, cut_on: date, name: str, found: Chances, at: int, *, outside: bool
) -> LikelyPiece:
    low, day, high = (
        None if outside else (cut_on + timedelta(days=int(side[at]))).isoformat()
        for side in (found.low, found.median, found.high)
    )
    return LikelyPiece(
        state.id, None, state.tray, state.place, name,
        float(found.ever[at]), float(found.ready_now[at]), day, low, high, outside,
        state.looked, state.mouth, state.encrustation,
    )  # fmt: skip


def _weeks(within: Counts, today: date) -> list[LikelyWeek]:
    return [
        LikelyWeek((today + timedelta(days=7 * at)).isoformat(), float(within.mean[at]),
                   int(within.low_95[at]), int(within.high_95[at]))
        for at in range(WEEKS)
    ]  # fmt: skip


routes = [likely_route]
