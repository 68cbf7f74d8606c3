"""A gateway between phone and server: it passes requests on, loses them, or answers for itself.

It runs in a thread with a loop of its own, so that tests of any kind can stand beside it. Each
request goes to the server on a connection of its own.
"""

import asyncio
import threading
from collections import deque
from collections.abc import Callable, Coroutine
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple

from tests.sync.gateway_wire import Request, ask, begin, decoded, half, page, read_request

LOST_SERVER = page(502, "<html><h1>Bad gateway</h1></html>")
SIGN_IN = page(200, "<!doctype html><title>Welcome</title><p>Sign in to use this network.</p>")


class Fault(NamedTuple):
    """What becomes of one request. As it stands it is passed on once and answered whole.

    delay    seconds before anything happens to it
    copies   how many of it reach the server, all at once
    answer   whole; lost (the connection just ends); cut (ends in the middle); half (half of the
             JSON, in good HTTP); bad-gateway or sign-in (a page of somebody else's)
    parked   it reaches the server only at `release`, after whatever came later
    stop     only so many bytes of its body reach the server, then that connection ends
    """

    delay: float = 0.0
    copies: int = 1
    answer: Literal["whole", "lost", "cut", "half", "bad-gateway", "sign-in"] = "whole"
    parked: bool = False
    stop: int | None = None


PASS = Fault()
LOSE_ANSWER = Fault(answer="lost")
LOSE_REQUEST = Fault(copies=0, answer="lost")
PARK = Fault(copies=0, answer="lost", parked=True)


@dataclass
class Gateway:
    """Passes on to `port` of this machine while `up`. `answered` counts pages of its own.

    `plan` chooses each request's fault. To be looked at: `heard`, every request as (method, path);
    `missing`, the paths that were answered 404; `copies`, the bodies that the server answered to
    several copies.
    """

    behind: int

    def __post_init__(self) -> None:
        self.up, self.answered = True, 0
        self.plan: Callable[[Request], Fault] = lambda _request: PASS
        self.heard: list[tuple[str, str]] = []
        self.missing: list[str] = []
        self.copies: list[bytes] = []
        self.parked: deque[Request] = deque()
        self.open: set[asyncio.StreamWriter] = set()
        self.loop = asyncio.new_event_loop()
        self.thread = threading.Thread(target=self.loop.run_forever, daemon=True)
        self.thread.start()
        self.server = self._run(asyncio.start_server(self._serve, "127.0.0.1", 0))
        self.base = f"http://127.0.0.1:{self.server.sockets[0].getsockname()[1]}"

    def set(self, *, up: bool) -> None:
        """Find or lose the server, open connections included."""

        async def change() -> None:
            self.up = up
            for writer in self.open:
                writer.close()

        self._run(change())

    def script(self, path: str, *faults: Fault) -> None:
        """Requests whose path contains `path` meet these faults, one after another; then none."""
        left = deque(faults)
        self.plan = lambda request: left.popleft() if left and path in request.path else PASS

    def always(self, fault: Fault) -> None:
        """Every request meets this fault."""
        self.plan = lambda _request: fault

    def clear(self) -> None:
        """From now on everything is passed on."""
        self.always(PASS)

    def release(self) -> int:
        """Let parked requests reach the server, the last first; nobody hears its answers."""

        async def late() -> int:
            count = len(self.parked)
            while self.parked:
                await ask(self.behind, self.parked.pop())
            return count

        return int(self._run(late()))

    def stop(self) -> None:
        self.set(up=False)
        self.loop.call_soon_threadsafe(self.loop.stop)
        self.thread.join(20)

    def _run(self, work: Coroutine[Any, Any, Any]) -> Any:
        return asyncio.run_coroutine_threadsafe(work, self.loop).result(60)

    async def _serve(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.open.add(writer)
        try:
            if (request := await read_request(reader)) is not None:
                self.heard.append((request.method, request.path))
                await self._meet(request, writer)
        except ConnectionError:
            pass
        finally:
            self.open.discard(writer)
            writer.close()

    async def _meet(self, request: Request, writer: asyncio.StreamWriter) -> None:
        fault = self.plan(request) if self.up else Fault(copies=0, answer="bad-gateway")
        await asyncio.sleep(fault.delay)
        if fault.parked:
            self.parked.append(request)
        if fault.answer in ("half", "cut"):
            request = replace(request, head=request.without("accept-encoding"))
        if fault.stop is not None:
            await begin(self.behind, request, fault.stop)
            return
        answers = await asyncio.gather(*(self._ask(request) for _ in range(fault.copies)))
        if fault.copies > 1:
            self.copies += [decoded(answer) for answer in answers]
        if fault.answer == "lost":
            return
        own = {"bad-gateway": LOST_SERVER, "sign-in": SIGN_IN}.get(fault.answer)
        answer = own or answers[0]
        self.answered += own is not None or answer == LOST_SERVER
        if answer.startswith(b"HTTP/1.1 404"):
            self.missing.append(request.path)
        writer.write(half(answer, well_formed=fault.answer == "half")
                     if fault.answer in ("half", "cut") else answer)  # fmt: skip
        await writer.drain()

    async def _ask(self, request: Request) -> bytes:
        """The server's whole answer, or a gateway's own where there is no server."""
        return await ask(self.behind, request) or LOST_SERVER
