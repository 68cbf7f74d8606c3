"""GET /api/planning/trial-size: how many cuts a trial takes, from the farm's own spread."""

import asyncio
from typing import Annotated

from litestar import get
from litestar.di import NamedDependency
from litestar.params import Parameter

from api.access.problems import NotAllowed, NotHeld
from api.database import Database
from api.healing.stock import read_stock
from api.planning.answer import size_of
from api.planning.question import Question
from api.planning.shapes import TrialEndpoint, TrialSize, Varies
from api.problems import BadRequest, SignedOut, raises
from api.records.clock import now_ms


@get("/api/planning/trial-size", operation_id="trial_size", rule="lead",
     responses=raises(BadRequest, SignedOut, NotHeld, NotAllowed))  # fmt: skip
async def trial_size_route(
    db: NamedDependency[Database],
    varies: Annotated[Varies, Parameter(description="what differs between the arms")],
    arms: Annotated[int, Parameter(description="how many arms, 2 to 6")],
    endpoint: Annotated[TrialEndpoint, Parameter(description="what is compared")],
    difference: Annotated[int, Parameter(description="days, or pieces of a hundred")],
    share: Annotated[
        int | None, Parameter(description="typed: lost of a hundred, where records do not tell")
    ] = None,
    pieces: Annotated[int | None, Parameter(description="typed: pieces a cut")] = None,
    spread: Annotated[
        int | None, Parameter(description="typed: days, as a standard deviation within a mother")
    ] = None,
) -> TrialSize:
    """The number of cuts for the difference worth knowing, and for a smaller and a larger one."""
    asked = Question(varies, arms, endpoint, difference, share, pieces, spread).checked()
    stock = await read_stock(db, now_ms())
    return await asyncio.to_thread(size_of, asked, stock)


routes = [trial_size_route]
