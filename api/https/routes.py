"""Where the app can be reached, for whoever brings in another phone."""

from typing import Any

from litestar import Request, get
from litestar.di import NamedDependency

from api.access.person import Person
from api.access.problems import NotAllowed, NotHeld
from api.database import Database
from api.https.reach import Reach, ReachAddress, ReachView
from api.problems import SignedOut, raises


@get(
    "/api/access/reach",
    operation_id="reach",
    responses=raises(SignedOut, NotHeld, NotAllowed),
    rule="lead",
    sync_to_thread=False,
)
def get_reach(request: Request[Person, Any, Any], db: NamedDependency[Database]) -> ReachView:
    """The addresses of this server, its certificate, and what to heed about them."""
    reach: Reach | None = request.app.state.get("reach")
    if reach is None:
        # Run by a server that is not ours: all that is known is where this request went.
        here = str(request.base_url).rstrip("/")
        return ReachView(db.epoch, [ReachAddress(here, False)], None, None, [])
    return reach.view(db.epoch)


routes = [get_reach]
