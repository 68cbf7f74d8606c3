"""GET /api/healing/likely: when each piece that is still healing is likely ready, and how many.

The model (`predict`) learns from every piece of the farm; what the last check saw of mouth and
encrustation enters where earlier checks show that it foretells. A date is given only where the
model agrees with the plain curves, and never for a piece that has healed longer than such pieces
do.
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
from api.database import Database
from api.healing.asked import EndpointParameter
from api.healing.behind import codes_of
from api.healing.covariates import PREDICTING, covariates
from api.healing.errors import NotSettledError
from api.healing.estimate import READY_FOR_INTERVAL
from api.healing.groups import Member, Members, all_in_one, grouped
from api.healing.intervals import days
from api.healing.likely_shapes import Likely, LikelyPiece, LikelyWeek
from api.healing.looks import Look, read_looks, some, stage_of, step_of
from api.healing.predict.chance import Chances, predict
from api.healing.predict.checks import far_from_plain
from api.healing.predict.forecast import Counts, forecast
from api.healing.predict.landmark import Seen
from api.healing.predict.landmark_fit import Looks, learn
from api.healing.predict.model import Model, Standing
from api.healing.predict.pooled import fit
from api.healing.rows import MAX_DAY, FloatArray, IntArray
from api.healing.sentence import count_of
from api.healing.stock import Stock, read_stock
from api.healing.traits import name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms
from api.records.fields import Endpoint

WEEKS = 12
HARDLY = 0.01
"""A piece with less of a chance to get ready at all is given no date."""
NO_MODEL = "The model could not be fitted to these pieces, so no date is given."

BY_LOOKS = (
    "Mouth and encrustation as seen at the last check are in every chance and date: in cuts of "
    "this farm that were left out of the learning, they foretold better than days alone."
)
NOT_BY_LOOKS = (
    "Mouth and encrustation as seen at the last check are not used: there are too few earlier "
    "checks with both on record, or in cuts left out of the learning they foretold no better than "
    "days alone."
)


class Watched(NamedTuple):
    """The pieces that were looked at, and those still healing of which something is asked."""

    seen: list[Member]
    chosen: list[Member]


@get("/api/healing/likely", operation_id="healing_likely", rule="keeper",
     responses=raises(BadRequest, SignedOut, NotHeld))  # fmt: skip
async def likely_route(
    db: NamedDependency[Database],
    endpoint: EndpointParameter = "sale",
    tray: Annotated[str | None, Parameter(description="only pieces in this tray")] = None,
) -> Likely:
    """Likely days of getting ready, by piece and by week, from how pieces like them did."""
    now = now_ms()
    stock = await read_stock(db, now)
    watched = await asyncio.to_thread(watched_of, stock, endpoint, tray)
    starts = {piece: stock.pieces[piece].start for piece in some(m.piece for m in watched.seen)}
    looks = await read_looks(db, starts if watched.chosen else {}, stock.facility.zone)
    found = await asyncio.to_thread(likely, stock, endpoint, now, watched, looks)
    codes = await codes_of(db, [one.id for one in found.pieces])
    return replace(
        found, pieces=[replace(one, code=codes.get(one.id)) for one in found.pieces]
    )  # fmt: skip


def watched_of(stock: Stock, endpoint: Endpoint, tray: str | None = None) -> Watched:
    """Every piece that was looked at, and those still healing, with `tray` only those in it."""
    seen = all_in_one(grouped(stock, "method", endpoint).groups).seen
    healing = [one for one in seen if one.watch.fate == "healing"]
    return Watched(
        seen, [one for one in healing if tray is None or stock.pieces[one.piece].tray == tray]
    )


def likely(
    stock: Stock, endpoint: Endpoint, now: int, watched: Watched, looks: Sequence[Look] = ()
) -> Likely:
    """What can be said of every piece still healing, but for its code. Pure; `looks` are earlier
    ones at any pieces of the farm."""
    nothing = Likely(moment(now), endpoint, [_why_not(*watched)], 0.0, [], [])
    if nothing.note[0]:
        return nothing
    try:
        return _answer(stock, endpoint, now, watched, looks)
    except NotSettledError:
        return replace(nothing, note=[NO_MODEL])


def _why_not(seen: Sequence[Member], chosen: Sequence[Member]) -> str:
    """Why nothing can be said yet; '' where it can be tried."""
    if not chosen:
        return "No piece is healing here that was looked at since its cut."
    ready = sum(1 for one in seen if one.watch.fate == "ready")
    if ready < READY_FOR_INTERVAL:
        return (
            f"Too early to say: {ready} of {READY_FOR_INTERVAL} pieces that it takes were seen "
            "getting ready."
        )
    return ""


def _answer(
    stock: Stock, endpoint: Endpoint, now: int, watched: Watched, looks: Sequence[Look]
) -> Likely:
    seen, chosen = watched
    model, standing, far = _model(stock, seen, chosen, looks)
    found = predict(model, standing, [0])
    weeks = forecast(model, standing, WEEKS)
    today = date.fromisoformat(stock.today)
    latest = max(one.watch.right for one in seen if one.watch.fate == "ready")
    late = found.outside | (standing.left >= latest) | (found.high > MAX_DAY)
    late |= found.ever < HARDLY
    pieces = [_piece(stock, one, found, at, outside=bool(late[at]))
              for at, one in enumerate(chosen)]  # fmt: skip
    pieces.sort(key=lambda one: (one.day is None, one.day or "", one.id))
    by_looks = model.landmark is not None
    return Likely(
        moment(now), endpoint, _notes(int(late.sum()), far, by_looks=by_looks), weeks.already,
        pieces, _weeks(weeks.within, today), by_looks,
    )  # fmt: skip


def _model(
    stock: Stock, seen: Sequence[Member], chosen: Sequence[Member], looks: Sequence[Look]
) -> tuple[Model, Standing, list[str]]:
    """The fitted model, the pieces as it takes them, and methods in which it strays."""
    rows = Members("all", "All", list(seen)).rows()
    methods = sorted({one.traits.method for one in seen})
    group = np.array([methods.index(one.traits.method) for one in seen], np.int64)
    x, _ = covariates(seen, PREDICTING)
    model = fit(rows, group, x)
    far = [methods[apart.group] for apart in far_from_plain(model, rows, group, x)]
    place = {one.piece: at for at, one in enumerate(seen)}
    earlier = _looks(stock, place, looks)
    model = dataclasses.replace(model, landmark=learn(model, rows, group, x, earlier))
    at = np.array([place[one.piece] for one in chosen], np.int64)
    states = [stock.pieces[one.piece] for one in chosen]
    last = Seen.of([stage_of(one.mouth) for one in states],
                   [step_of(one.encrustation) for one in states])  # fmt: skip
    return model, _standing(chosen, group[at], rows.cluster[at], x[at], last), far


def _looks(stock: Stock, place: dict[str, int], looks: Sequence[Look]) -> Looks:
    """Looks since the cut, as the model takes them."""
    columns: list[tuple[int, int, int, int]] = []
    for look in looks:
        cut = stock.cuts.get(stock.pieces[look.piece].cut or "")
        at = place.get(look.piece)
        if cut is not None and at is not None and look.day >= cut.day:
            columns.append((at, days(cut.day, look.day), look.mouth, look.encrustation))
    return Looks.of(*np.array(columns, np.int64).reshape(-1, 4).T)


def _standing(
    chosen: Sequence[Member], group: IntArray, cluster: IntArray, x: FloatArray, last: Seen
) -> Standing:
    left, alive = ([getattr(one.watch, side) for one in chosen] for side in ("left", "right"))
    # A phone's clock may be ahead, and a piece then seen after today.
    today = [max(one.age, one.watch.right) for one in chosen]
    return Standing.of(left, alive, today, group, cluster, x, last)


def _piece(stock: Stock, one: Member, found: Chances, at: int, *, outside: bool) -> LikelyPiece:
    state = stock.pieces[one.piece]
    begun = date.fromisoformat(stock.today) - timedelta(days=one.age)
    low, day, high = (
        None if outside else (begun + timedelta(days=int(side[at]))).isoformat()
        for side in (found.low, found.median, found.high)
    )
    return LikelyPiece(
        one.piece, None, state.tray, state.place, name_of(stock, "method", one.traits.method),
        float(found.ever[at]), float(found.ready_now[at]), day, low, high, outside,
        state.looked, state.mouth, state.encrustation,
    )  # fmt: skip


def _weeks(within: Counts, today: date) -> list[LikelyWeek]:
    return [
        LikelyWeek((today + timedelta(days=7 * at)).isoformat(), float(within.mean[at]),
                   int(within.low_95[at]), int(within.high_95[at]))
        for at in range(WEEKS)
    ]  # fmt: skip


def _notes(stalled: int, far: Sequence[str], *, by_looks: bool) -> list[str]:
    notes = [
        "Each piece counts from its last look, not from today: look, and its date is better.",
        "A range holds the day with a chance of 80 %, should the piece get ready; the chance that "
        "it does stands beside it.",
        BY_LOOKS if by_looks else NOT_BY_LOOKS,
    ]
    if stalled:
        notes.append(
            f"{count_of(stalled, 'piece has', 'pieces have')} been healing for longer than nearly "
            "all others did. No date is given: look at them."
        )
    if far:
        notes.append(
            f"For {count_of(len(set(far)), 'method', 'methods')} the model lies far from what was "
            "plainly seen: trust the curve there, not these dates."
        )
    return notes


routes = [likely_route]
