"""GET /api/healing/likely: when each piece that is still healing is likely ready, and how many.

The model (`predict`) learns from every piece of the farm; a date is given only where it agrees with
the plain curves, and never for a piece that has healed longer than such pieces do.
"""

import asyncio
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Annotated

import numpy as np
from litestar import get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec import Struct
from msgspec.structs import replace

from api.access.problems import NotHeld
from api.database import Database
from api.healing.asked import EndpointParameter
from api.healing.behind import codes_of
from api.healing.covariates import PREDICTING, covariates
from api.healing.errors import NotSettledError
from api.healing.estimate import READY_FOR_INTERVAL
from api.healing.groups import Member, Members, all_in_one, grouped
from api.healing.predict.chance import Chances, predict
from api.healing.predict.checks import far_from_plain
from api.healing.predict.forecast import Counts, forecast
from api.healing.predict.model import Model, Standing
from api.healing.predict.pooled import fit
from api.healing.rows import FloatArray, IntArray
from api.healing.sentence import count_of
from api.healing.stock import Stock, read_stock
from api.healing.traits import name_of
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import moment, now_ms
from api.records.fields import Endpoint, Moment

WEEKS = 12
NO_MODEL = "The model could not be fitted to these pieces, so no date is given."


class LikelyPiece(Struct, frozen=True):
    """One piece that is still healing, as it was last seen. Dates are the facility's.

    ever         chance that it gets ready at all
    now          chance that it is ready already
    day          as likely before as after, should it get ready
    low, high    between them with a chance of 80 %; all three None for what is outside the model
    outside      seen healing for longer than 99 in 100 such pieces do, or than any piece of the
                 farm that got ready: nothing is promised
    """

    id: str
    code: str | None
    tray: str | None
    place: str | None
    name: str
    ever: float
    now: float
    day: str | None
    low: str | None
    high: str | None
    outside: bool


class LikelyWeek(Struct, frozen=True):
    """Pieces that get ready in the seven days from `begins`, with 95 % limits. In the first week
    those that may be ready already are left out."""

    begins: str
    mean: float
    low: int
    high: int


class Likely(Struct, frozen=True):
    """The answer; `already` may be ready now, not looked at since. Without an answer `note` says
    why."""

    made_at: Moment
    endpoint: Endpoint
    note: list[str]
    already: float
    pieces: list[LikelyPiece]
    weeks: list[LikelyWeek]


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
    found = await asyncio.to_thread(likely, stock, endpoint, now, tray)
    codes = await codes_of(db, [one.id for one in found.pieces])
    return replace(
        found, pieces=[replace(one, code=codes.get(one.id)) for one in found.pieces]
    )  # fmt: skip


def likely(stock: Stock, endpoint: Endpoint, now: int, tray: str | None = None) -> Likely:
    """What can be said of every piece still healing, but for its code. Pure."""
    seen = all_in_one(grouped(stock, "method", endpoint).groups).seen
    healing = [one for one in seen if one.watch.fate == "healing"]
    chosen = [one for one in healing if tray is None or stock.pieces[one.piece].tray == tray]
    nothing = Likely(moment(now), endpoint, [_why_not(seen, chosen)], 0.0, [], [])
    if nothing.note[0]:
        return nothing
    try:
        return _answer(stock, endpoint, now, seen, chosen)
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
    stock: Stock, endpoint: Endpoint, now: int, seen: Sequence[Member], chosen: Sequence[Member]
) -> Likely:
    model, standing, far = _model(seen, chosen)
    found = predict(model, standing, [0])
    weeks = forecast(model, standing, WEEKS)
    today = date.fromisoformat(stock.today)
    latest = max(one.watch.right for one in seen if one.watch.fate == "ready")
    outside = [bool(out) or one.watch.left >= latest
               for out, one in zip(found.outside, chosen, strict=True)]  # fmt: skip
    pieces = [_piece(stock, one, found, at, outside=outside[at]) for at, one in enumerate(chosen)]
    pieces.sort(key=lambda one: (one.day is None, one.day or "", one.id))
    return Likely(
        moment(now), endpoint, _notes(sum(outside), far), weeks.already, pieces,
        _weeks(weeks.within, today),
    )  # fmt: skip


def _model(seen: Sequence[Member], chosen: Sequence[Member]) -> tuple[Model, Standing, list[str]]:
    """The fitted model, the pieces as it takes them, and methods in which it strays."""
    rows = Members("all", "All", list(seen)).rows()
    methods = sorted({one.traits.method for one in seen})
    group = np.array([methods.index(one.traits.method) for one in seen], np.int64)
    x, _ = covariates(seen, PREDICTING)
    model = fit(rows, group, x)
    place = {one.piece: at for at, one in enumerate(seen)}
    at = np.array([place[one.piece] for one in chosen], np.int64)
    far = [methods[apart.group] for apart in far_from_plain(model, rows, group, x)]
    return model, _standing(chosen, group[at], rows.cluster[at], x[at]), far


def _standing(
    chosen: Sequence[Member], group: IntArray, cluster: IntArray, x: FloatArray
) -> Standing:
    left, alive = ([getattr(one.watch, side) for one in chosen] for side in ("left", "right"))
    # A phone's clock may be ahead, and a piece then seen after today.
    today = [max(one.age, one.watch.right) for one in chosen]
    return Standing.of(left, alive, today, group, cluster, x)


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
    )  # fmt: skip


def _weeks(within: Counts, today: date) -> list[LikelyWeek]:
    return [
        LikelyWeek((today + timedelta(days=7 * at)).isoformat(), float(within.mean[at]),
                   int(within.low_95[at]), int(within.high_95[at]))
        for at in range(WEEKS)
    ]  # fmt: skip


def _notes(stalled: int, far: Sequence[str]) -> list[str]:
    notes = [
        "Each piece counts from its last look, not from today: look, and its date is better.",
        "A range holds the day with a chance of 80 %, should the piece get ready; the chance that "
        "it does stands beside it.",
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
