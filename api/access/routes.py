"""Signing a device in and out, and who is there. What people do there is in `holding_routes.py`."""

from typing import Annotated, Any

from litestar import Request, Response, get, post
from litestar.di import NamedDependency
from litestar.middleware.rate_limit import RateLimitConfig
from litestar.params import JSONBody
from msgspec import Meta, Struct

from api.access import passwords, sessions
from api.access.cookies import make_cookie, read_cookie
from api.access.person import Caller, Me, Name, me
from api.access.problems import LinkExpired, LinkUnknown, LinkUsed, PinLocked, WrongPassword
from api.database import Database
from api.problems import (
    BadBody,
    CrossSite,
    NotJson,
    SignedOut,
    SlowDown,
    TooLarge,
    TooSlow,
    WrongMedia,
    raises,
)
from api.records.clock import now_ms
from api.records.fields import Key, Word
from api.strict_body import Strict
from api.version import VERSION

CLAIMS_STORE, ENTRIES_STORE = "claims", "entries"
CLAIMS_A_MINUTE = 10


class ClaimQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`device` is the phone's key from an earlier sign-in, if it still has unsent records."""

    token: Annotated[str, Meta(min_length=1, max_length=200)]
    device_name: Name
    device: Key | None = None


class EnterQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """An owner's name and password, on a device that is not paired."""

    name: Word
    password: Annotated[str, Meta(min_length=1, max_length=200)]
    device_name: Name
    device: Key | None = None


class Health(Struct, frozen=True):
    name: str
    version: str
    epoch: str


BODY = (NotJson, BadBody, CrossSite, TooSlow, TooLarge, WrongMedia)
"""What every address answers that takes JSON."""


def _slow(store: str) -> Any:
    """A limit with a store of its own: limiters that share one also share their counts."""
    limit = RateLimitConfig(("minute", CLAIMS_A_MINUTE), store=store, set_rate_limit_headers=False)
    return limit.middleware


@get("/api/health", operation_id="health", rule="open", security=[{}], sync_to_thread=False)
def health(db: NamedDependency[Database]) -> Health:
    """Whether the server runs, and which database it serves."""
    return Health("nubbin", VERSION, db.epoch)


@get("/api/me", operation_id="me", rule="paired", responses=raises(SignedOut), sync_to_thread=False)
def get_me(
    request: Request[Caller, Any, Any],
    db: NamedDependency[Database],
    caller: NamedDependency[Caller],
) -> Me:
    """Who is signed in on this device; nobody where it is shared and nobody holds it."""
    return me(caller, db.epoch, VERSION, request.app.state.demo)


@post("/api/access/claim", operation_id="claim", rule="open", security=[{}], status_code=200,
      dto=Strict[ClaimQuestion], return_dto=None, middleware=[_slow(CLAIMS_STORE)],
      responses=raises(*BODY, LinkUnknown, LinkUsed, LinkExpired, SlowDown))  # fmt: skip
async def claim(
    data: JSONBody[ClaimQuestion], request: Request[Any, Any, Any], db: NamedDependency[Database]
) -> Response[Me]:
    """Use a sign-in link or a pairing code: this device gets a cookie."""
    token, caller = await sessions.claim(
        db, data.token, data.device_name, now_ms(),
        remembered=data.device, cookie=read_cookie(request),
    )  # fmt: skip
    return _signed_in(request, db, token, caller)


@post("/api/access/enter", operation_id="enter", rule="open", security=[{}], status_code=200,
      dto=Strict[EnterQuestion], return_dto=None, middleware=[_slow(ENTRIES_STORE)],
      responses=raises(*BODY, WrongPassword, PinLocked, SlowDown))  # fmt: skip
async def enter(
    data: JSONBody[EnterQuestion], request: Request[Any, Any, Any], db: NamedDependency[Database]
) -> Response[Me]:
    """Sign an owner in by password, for when no paired device is at hand."""
    token, caller = await passwords.enter(
        db, data.name, data.password, data.device_name, now_ms(),
        remembered=data.device, cookie=read_cookie(request),
    )  # fmt: skip
    return _signed_in(request, db, token, caller)


@post("/api/access/leave", operation_id="leave", rule="paired", status_code=204,
      responses=raises(SignedOut, CrossSite))  # fmt: skip
async def leave(db: NamedDependency[Database], caller: NamedDependency[Caller]) -> None:
    """Sign this device out. What it has not sent yet stays on it."""
    await sessions.leave(db, caller, now_ms())


def _signed_in(
    request: Request[Any, Any, Any], db: Database, token: str, caller: Caller
) -> Response[Me]:
    answer = me(caller, db.epoch, VERSION, request.app.state.demo)
    return Response(answer, cookies=[make_cookie(request, token)])


routes = [health, get_me, claim, enter, leave]
