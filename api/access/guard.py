"""The door: nothing is answered but what the handler's `rule` allows to who asks.

It is asked twice: as the request comes, and again in each write of it (`standing.py`).
"""

from typing import Any

from litestar.connection import ASGIConnection
from litestar.exceptions import ImproperlyConfiguredException
from litestar.middleware import AbstractAuthenticationMiddleware, AuthenticationResult
from litestar.types import Receive, Scope, Send

from api.access.cookies import read_cookie
from api.access.rules import RULE, RULES, Rule, check
from api.access.sessions import find_caller, find_revoked
from api.access.standing import Standing
from api.database import LOOK
from api.problems import SignedOut
from api.records.clock import now_ms

TAKES_REVOKED = "takes_revoked"
"""Marks the one handler that still listens to who was signed out for good."""


class Guard(AbstractAuthenticationMiddleware):
    """Sets `request.user` to the Caller, or raises SignedOut, NotHeld or NotAllowed."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        token = LOOK.set(None)
        try:
            await super().__call__(scope, receive, send)
        finally:
            LOOK.reset(token)

    async def authenticate_request(
        self, connection: ASGIConnection[Any, Any, Any, Any]
    ) -> AuthenticationResult:
        options = connection.route_handler.opt
        rule = rule_of(options)
        if rule == "open":
            return AuthenticationResult(user=None, auth=None)
        token = read_cookie(connection)
        if token is None:
            raise SignedOut
        db, now = connection.app.state.db, now_ms()
        caller = await find_caller(db, token, now)
        if options.get(TAKES_REVOKED) and (caller is None or caller.person is None):
            caller = await find_revoked(db, token, now) or caller
        if caller is None:
            raise SignedOut
        # Known before it is judged: the log of refusals says which device asked.
        connection.scope["user"] = caller
        check(rule, caller)
        # Who may be signed out and is still listened to is looked at by the handler itself.
        if not options.get(TAKES_REVOKED):
            LOOK.set(Standing(rule, caller))
        return AuthenticationResult(user=caller, auth=None)


def rule_of(options: dict[str, Any]) -> Rule:
    """A handler's rule. Raises ImproperlyConfiguredException where it has none: a fault of ours."""
    rule: Rule | None = options.get(RULE)
    if rule not in RULES:
        raise ImproperlyConfiguredException(f"{rule!r} is no rule")
    return rule
