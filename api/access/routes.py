"""Signing in and out, and who is signed in."""

from typing import Annotated, Any

from litestar import Request, Response, get, post
from litestar.di import NamedDependency
from litestar.middleware.rate_limit import RateLimitConfig
from litestar.params import JSONBody
from msgspec import Meta, Struct

from api.access import sessions
from api.access.cookies import make_cookie, read_cookie
from api.access.person import Me, Person, me
from api.database import Database
from api.problems import (
    BadBody,
    CrossSite,
    LinkExpired,
    LinkUnknown,
    LinkUsed,
    NotJson,
    SignedOut,
    SlowDown,
    TooLarge,
    WrongMedia,
    raises,
)
from api.records.clock import now_ms
from api.records.fields import Key, Word
from api.strict_body import Strict
from api.version import VERSION

CLAIMS_STORE = "claims"
CLAIMS_A_MINUTE = 10


class ClaimQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`device` is the phone's key from an earlier sign-in, if it still has unsent records."""

    token: Annotated[str, Meta(min_length=1, max_length=200)]
    device_name: Word
    device: Key | None = None


class Health(Struct, frozen=True):
    name: str
    version: str
    epoch: str


_slow = RateLimitConfig(
    ("minute", CLAIMS_A_MINUTE), store=CLAIMS_STORE, set_rate_limit_headers=False
)


@get(
    "/api/health",
    operation_id="health",
    exclude_from_auth=True,
    security=[{}],
    sync_to_thread=False,
)
def health(db: NamedDependency[Database]) -> Health:
    """Whether the server runs, and which database it serves."""
    return Health("nubbin", VERSION, db.epoch)


@get("/api/me", operation_id="me", responses=raises(SignedOut), sync_to_thread=False)
def get_me(
    request: Request[Person, Any, Any],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> Me:
    """Who is signed in on this device."""
    return me(person, db.epoch, VERSION, request.app.state.demo)


@post(
    "/api/access/claim",
    operation_id="claim",
    dto=Strict[ClaimQuestion],
    return_dto=None,
    status_code=200,
    exclude_from_auth=True,
    security=[{}],
    middleware=[_slow.middleware],
    responses=raises(
        NotJson,
        BadBody,
        CrossSite,
        LinkUnknown,
        LinkUsed,
        LinkExpired,
        TooLarge,
        WrongMedia,
        SlowDown,
    ),
)
async def claim(
    data: JSONBody[ClaimQuestion], request: Request[Any, Any, Any], db: NamedDependency[Database]
) -> Response[Me]:
    """Use a sign-in link: this device gets a cookie for the link's person."""
    token, person = await sessions.claim(
        db,
        data.token,
        data.device_name,
        now_ms(),
        remembered=data.device,
        cookie=read_cookie(request),
    )
    answer = me(person, db.epoch, VERSION, request.app.state.demo)
    return Response(answer, cookies=[make_cookie(request, token)])


@post(
    "/api/access/leave",
    operation_id="leave",
    status_code=204,
    responses=raises(SignedOut, CrossSite),
)
async def leave(db: NamedDependency[Database], person: NamedDependency[Person]) -> None:
    """Sign out on this device. What it has not sent yet stays on it."""
    await sessions.leave(db, person, now_ms())


routes = [health, get_me, claim, leave]
