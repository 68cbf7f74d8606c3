"""The cookie that names a session: HttpOnly, SameSite=Strict, and Secure wherever that works.

Over HTTPS, and on this machine itself, it has the `__Host-` prefix, which binds it to this one
origin and to all its paths (RFC 6265bis). Over plain HTTP to another machine a browser would not
store such a cookie, so a plain name is used there.
"""

from typing import Any

from litestar.connection import ASGIConnection
from litestar.datastructures import Cookie

SECURE_NAME = "__Host-nubbin"
PLAIN_NAME = "nubbin"
KEPT_S = 400 * 24 * 3600
"""As long as browsers keep any cookie; how long it opens something is for the server to say."""

_THIS_MACHINE = frozenset({"localhost", "127.0.0.1", "::1"})
Connection = ASGIConnection[Any, Any, Any, Any]


def is_secure(connection: Connection) -> bool:
    """Whether the browser treats this address as safe: HTTPS, or the machine itself."""
    url = connection.url
    return url.scheme == "https" or (url.hostname or "").lower() in _THIS_MACHINE


def read_cookie(connection: Connection) -> str | None:
    """The token in the cookie that this address uses; never the other one."""
    name = SECURE_NAME if is_secure(connection) else PLAIN_NAME
    return connection.cookies.get(name) or None


def make_cookie(connection: Connection, token: str) -> Cookie:
    """The cookie to set after a claim."""
    secure = is_secure(connection)
    return Cookie(
        key=SECURE_NAME if secure else PLAIN_NAME,
        value=token,
        path="/",
        max_age=KEPT_S,
        secure=secure,
        httponly=True,
        samesite="strict",
    )
