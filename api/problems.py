"""What the server answers when it cannot do what was asked: RFC 9457 problems, one tree.

    ApiError                     answered as application/problem+json
    ├── BadRequest        400    bad-request
    │   ├── NotJson              not-json      the body is no JSON
    │   ├── BadBody              bad-body      JSON of another shape
    │   ├── BadBatch             bad-batch     a batch of records of another shape
    │   ├── WrongCursor          wrong-cursor  no cursor of ours
    │   └── HungUp               hung-up       the connection ended first; nobody reads this
    ├── SignedOut         401    signed-out
    ├── Forbidden         403    forbidden
    │   └── CrossSite            cross-site    sent by another site's page
    ├── NotFound          404    not-found
    ├── WrongMethod       405    wrong-method
    ├── TooSlow           408    too-slow      the body took too long to come
    ├── Conflict          409    conflict
    │   └── HostMissing          host-missing  no address was chosen for the labels
    ├── OtherEpoch        410    other-epoch   the database was replaced
    ├── TooLarge          413    too-large
    │   └── TooMany              too-many      more records than a batch may hold
    ├── WrongMedia        415    wrong-media   neither JSON nor multipart
    ├── Unprintable       422    unprintable   no such labels can be printed
    ├── SlowDown          429    slow-down
    └── Broken            500    broken        our fault; the traceback is in the log

What only people and devices can get wrong is in `api/access/problems.py`, what only photos can in
`api/photos/problems.py`. `title` says what is wrong, `detail` what was kept and what to do, `code`
is for programs.
"""

import logging
from typing import Any, ClassVar

import msgspec
from litestar import Request, Response
from litestar.exceptions import HTTPException, ValidationException
from litestar.openapi.datastructures import ResponseSpec

from api.records.problem import Problem, problem

MEDIA = "application/problem+json"
_log = logging.getLogger("nubbin")


class ApiError(Exception):
    """Base of all. `detail` is a sentence for a person; each kind has a usual one."""

    status: ClassVar[int] = 500
    code: ClassVar[str] = "broken"
    title: ClassVar[str] = "Something broke on the server."
    usual: ClassVar[str] = "Nothing was changed. Try again; if it stays, read the server's log."

    def __init__(self, detail: str = "", **extra: int | str) -> None:
        super().__init__(detail or self.usual)
        self.extra = extra

    def problem(self) -> Problem:
        """This error as it goes over the wire."""
        return problem(self.code, self.status, self.title, str(self))


class BadRequest(ApiError):
    status, code = 400, "bad-request"
    title = "The request is not as it should be."
    usual = "Nothing was changed. Reload the app, so that phone and server speak the same version."


class NotJson(BadRequest):
    code, title = "not-json", "The body is not JSON."


class BadBody(BadRequest):
    code, title = "bad-body", "The body has another shape than this address takes."


class BadBatch(BadRequest):
    code, title = "bad-batch", "The batch of records has another shape than this address takes."


class WrongCursor(BadRequest):
    code, title = "wrong-cursor", "The cursor is not one that this server gave out."
    usual = "Pull again without a cursor."


class HungUp(BadRequest):
    code, title = "hung-up", "The connection ended before the whole request had come."
    usual = "Nothing was changed."


class SignedOut(ApiError):
    status, code, title = 401, "signed-out", "Nobody is signed in on this device."
    usual = "What was recorded stays on this device. Open a sign-in link to go on."


class Forbidden(ApiError):
    status, code, title = 403, "forbidden", "This is not allowed."
    usual = "Nothing was changed. Ask the farm's owner for the right to do this."


class CrossSite(Forbidden):
    code, title = "cross-site", "The request did not come from Nubbin's own page."
    usual = (
        "Nothing was changed. A request that changes something must carry "
        "'Sec-Fetch-Site: same-origin' or an 'Origin' equal to this server's address."
    )


class NotFound(ApiError):
    status, code, title = 404, "not-found", "There is nothing at this address."
    usual = "Go back to the app's first page."


class WrongMethod(ApiError):
    status, code, title = 405, "wrong-method", "This address cannot be used in this way."
    usual = "Nothing was changed."


class TooSlow(ApiError):
    status, code, title = 408, "too-slow", "The request took too long to come."
    usual = "Nothing was changed. Try again where the network is better."


class Conflict(ApiError):
    status, code, title = 409, "conflict", "This cannot be done as things stand."
    usual = "Nothing was changed."


class HostMissing(Conflict):
    code, title = "host-missing", "No address has been chosen for the labels."


class OtherEpoch(ApiError):
    status, code, title = 410, "other-epoch", "The server's database was replaced."
    usual = "Pull again from nothing, and send this device's own records again."


class TooLarge(ApiError):
    status, code, title = 413, "too-large", "The request is too large."
    usual = "Nothing was taken. Send it in smaller parts."


class TooMany(TooLarge):
    code, title = "too-many", "There are too many records in one batch."
    usual = "None was taken. Send at most 500 at a time."


class WrongMedia(ApiError):
    status, code, title = 415, "wrong-media", "The body is neither JSON nor a form with files."
    usual = "Nothing was changed. Send 'Content-Type: application/json'."


class Unprintable(ApiError):
    status, code, title = 422, "unprintable", "These labels cannot be printed."


class SlowDown(ApiError):
    status, code, title = 429, "slow-down", "That was tried too often."
    usual = "Wait a minute, then try again."


class Broken(ApiError):
    """A fault of ours: what was caught goes to the log, and only a plain sentence goes out."""


_BY_STATUS: dict[int, type[ApiError]] = {
    kind.status: kind
    for kind in (BadRequest, SignedOut, Forbidden, NotFound, WrongMethod, TooLarge, WrongMedia)
} | {429: SlowDown}


_GONE = "client disconnected prematurely"
"""What the framework calls it, as if it were a fault of the server's."""
REFUSALS = frozenset({403, 429})
"""Worth a line in the server's log: somebody tried what they may not, or too often."""


def answer(request: Request[Any, Any, Any], error: Exception) -> Response[dict[str, Any]]:
    """The one answer to every error, expected or not; extras are extension members (RFC 9457)."""
    found = as_api_error(error)
    if isinstance(found, Broken):
        _log.error("An unexpected error was answered with 500.", exc_info=error)
    elif found.status in REFUSALS:
        where = f"{request.method} {request.scope['path'][:120]!r}"
        _log.warning("%s was answered %s, from %s.", where, found.code, _who(request))
    headers = error.headers if isinstance(error, HTTPException) else None
    body = msgspec.structs.asdict(found.problem()) | found.extra
    return Response(body, status_code=found.status, media_type=MEDIA, headers=headers)


def _who(request: Request[Any, Any, Any]) -> str:
    """The device and address a request came from, as far as they are known; never a secret."""
    client = request.client.host if request.client else "an unknown address"
    device = getattr(request.scope.get("user"), "device", None)
    return f"{device} at {client}" if device else client


def as_api_error(error: Exception) -> ApiError:
    """Any exception as one of this tree; what is not known to be the client's is ours."""
    if isinstance(error, ApiError):
        return error
    if isinstance(error, RecursionError):
        return NotJson("The JSON is nested too deeply to be read. Nothing was changed.")
    if isinstance(error, msgspec.ValidationError):
        return BadBody(f"{error}. Nothing was changed.")
    if isinstance(error, msgspec.MsgspecError):
        return NotJson(f"{error}. Nothing was changed.")
    if isinstance(error, ValidationException) and "data" in _keys(error):
        return NotJson("There is no body. Nothing was changed.")
    if isinstance(error, HTTPException) and error.detail == _GONE:
        return HungUp()
    if isinstance(error, HTTPException) and error.status_code < 500:
        return _BY_STATUS.get(error.status_code, BadRequest)(_sentence(error))
    return Broken()


def _keys(error: ValidationException) -> set[str]:
    return {part.get("key", "") for part in error.extra} if isinstance(error.extra, list) else set()


def _sentence(error: HTTPException) -> str:
    """What was wrong with which parameter; else the kind's usual sentence."""
    if not isinstance(error, ValidationException) or not isinstance(error.extra, list):
        return ""
    parts = [f"{part.get('key', 'the request')}: {part.get('message', '')}" for part in error.extra]
    return f"{'; '.join(parts)}. Nothing was changed."


def raises(*errors: type[ApiError]) -> dict[int, ResponseSpec]:
    """The `responses=` of a handler that may raise these, for OpenAPI."""
    codes: dict[int, list[str]] = {}
    for error in errors:
        codes.setdefault(error.status, []).append(error.code)
    return {
        status: ResponseSpec(
            Problem, generate_examples=False, description=", ".join(found), media_type=MEDIA
        )
        for status, found in sorted(codes.items())
    }
