"""Where HTTPS is off: screens of the app are not given to other machines over plain HTTP.

A browser would give such a page neither the camera nor storage for work without a network, and a
person would find out at the tank. Requests that a listed proxy received over HTTPS pass.
"""

from litestar.datastructures import Headers
from litestar.enums import ScopeType
from litestar.types import ASGIApp, Receive, Scope, Send

from api.https.local import is_loopback
from api.https.onboarding import CSS


class ExplainPlainHttp:
    """Hands page views that came in without HTTPS to `explaining`, all else to `app`."""

    def __init__(self, app: ASGIApp, explaining: ASGIApp) -> None:
        self._app, self._explaining = app, explaining

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        chosen = self._explaining if is_bare_view(scope) else self._app
        await chosen(scope, receive, send)


def is_bare_view(scope: Scope) -> bool:
    """Whether a browser on another machine asks for a page, or for that page's style sheet."""
    if scope["type"] != ScopeType.HTTP or scope["scheme"] != "http":
        return False
    if scope["method"] not in ("GET", "HEAD") or scope["path"].startswith("/api"):
        return False
    headers = Headers.from_scope(scope)
    if is_loopback(host_of(headers.get("host", ""))):
        return False
    return scope["path"] == CSS or "text/html" in headers.get("accept", "")


def host_of(authority: str) -> str:
    """The host of a Host header without its port (RFC 9110, 7.2)."""
    if authority.startswith("["):
        return authority[1:].partition("]")[0]
    return authority.partition(":")[0]
