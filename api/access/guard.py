"""The door: everything needs a session, but for handlers marked `exclude_from_auth=True`."""

from typing import Any

from litestar.connection import ASGIConnection
from litestar.middleware import AbstractAuthenticationMiddleware, AuthenticationResult

from api.access.cookies import read_cookie
from api.access.sessions import find_person
from api.problems import SignedOut
from api.records.clock import now_ms

OPEN = "exclude_from_auth"


class Guard(AbstractAuthenticationMiddleware):
    """Sets `request.user` to the Person of the session, or answers 401."""

    async def authenticate_request(
        self, connection: ASGIConnection[Any, Any, Any, Any]
    ) -> AuthenticationResult:
        token = read_cookie(connection)
        person = await find_person(connection.app.state.db, token, now_ms()) if token else None
        if person is None:
            raise SignedOut
        return AuthenticationResult(user=person, auth=None)
