"""Requests that change something must come from Nubbin's own page (OWASP: Fetch Metadata).

Browsers say where a request comes from in Sec-Fetch-Site; older ones only in Origin. A page of
another site can forge neither, and cannot send JSON without being asked for leave first.
"""

from urllib.parse import urlsplit

from litestar.datastructures import Headers
from litestar.enums import ScopeType
from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, Receive, Scope, Send

from api.problems import CrossSite, WrongMedia

SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
MEDIA = frozenset(
    {
        "application/json",
        "multipart/form-data",
        # Parts of photos. No form can send this type: another site's page would have to ask
        # for leave first, and gets none.
        "application/offset+octet-stream",
    }
)


class SameOrigin(ASGIMiddleware):
    """Refuses unsafe requests from elsewhere, and bodies of a kind that a plain form can send."""

    scopes = (ScopeType.HTTP,)

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        if scope["type"] == ScopeType.HTTP and scope["method"] not in SAFE:
            headers = Headers.from_scope(scope)
            if not is_same_origin(headers):
                raise CrossSite
            if has_body(headers) and media_type(headers) not in MEDIA:
                raise WrongMedia
        await next_app(scope, receive, send)


def is_same_origin(headers: Headers) -> bool:
    """By Sec-Fetch-Site where it is sent, else by Origin; with neither it cannot be known."""
    site = headers.get("sec-fetch-site")
    if site is not None:
        return site == "same-origin"
    origin = headers.get("origin", "")
    return bool(origin) and _host(origin) == headers.get("host", "").lower()


def has_body(headers: Headers) -> bool:
    """Whether anything is sent besides headers."""
    return "transfer-encoding" in headers or headers.get("content-length", "0").strip() != "0"


def media_type(headers: Headers) -> str:
    """The media type without its parameters."""
    return headers.get("content-type", "").split(";")[0].strip().lower()


def _host(origin: str) -> str | None:
    try:
        return urlsplit(origin).netloc.lower()
    except ValueError:
        return None
