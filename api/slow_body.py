"""A body must come within a minute: a request is not to be begun today and finished tomorrow."""

import asyncio

from litestar.middleware import ASGIMiddleware
from litestar.types import ASGIApp, Receive, ReceiveMessage, Scope, Send

from api.problems import TooSlow

BODY_SECONDS = 60
"""A batch of 1 MiB at 140 kbit/s. A phone gives up after 30 s and sends less the next time."""


class Hurry(ASGIMiddleware):
    """Raises TooSlow out of whoever reads the body, once its time is over."""

    async def handle(self, scope: Scope, receive: Receive, send: Send, next_app: ASGIApp) -> None:
        ends = asyncio.get_running_loop().time() + BODY_SECONDS
        whole = False

        async def hurried() -> ReceiveMessage:
            nonlocal whole
            if whole:  # from here on it tells only whether somebody still listens
                return await receive()
            try:
                async with asyncio.timeout_at(ends):
                    event = await receive()
            except TimeoutError as error:
                raise TooSlow from error
            whole = not event.get("more_body", False)
            return event

        await next_app(scope, hurried, send)
