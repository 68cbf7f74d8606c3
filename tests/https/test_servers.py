"""Two servers in one loop begin and end together, and let answers end."""

import asyncio
import signal
import socket

import pytest
from litestar.types import Receive, Scope, Send

from api.https.servers import Part, run, stopping
from api.serving import listen
from api.start_errors import StartFailed
from tests.https.running import hello

pytestmark = pytest.mark.anyio


async def answer_of(reader: asyncio.StreamReader) -> bytes:
    head = await reader.readuntil(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 200"), head
    return await reader.readexactly(5)


async def asked(port: int) -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    writer.write(b"GET / HTTP/1.1\r\nHost: farm\r\n\r\n")
    return reader, writer


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
async def test_a_signal_ends_both_after_the_answer_that_is_under_way(number: signal.Signals):
    begun, go_on = asyncio.Event(), asyncio.Event()

    async def slow(scope: Scope, receive: Receive, send: Send) -> None:
        begun.set()
        await go_on.wait()
        await hello(scope, receive, send)

    listeners = [listen("127.0.0.1", 0) for _ in range(2)]
    ports = [one.getsockname()[1] for one in listeners]
    with stopping() as stop:
        parts = [Part(slow, listeners[0]), Part(hello, listeners[1])]
        task = asyncio.create_task(run(parts, stop))
        quick, other = await asked(ports[1])
        assert await answer_of(quick) == b"hello"
        reader, writer = await asked(ports[0])
        await begun.wait()
        signal.raise_signal(number)
        go_on.set()
        assert await answer_of(reader) == b"hello"
        await task
    for port in ports:
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port), 5)
    for one in (writer, other):
        one.close()


async def test_a_signal_that_comes_before_the_servers_run_is_not_lost():
    with stopping() as stop:
        signal.raise_signal(signal.SIGTERM)
        await run([Part(hello, listen("127.0.0.1", 0)) for _ in range(2)], stop)


async def test_handlers_of_before_are_put_back():
    before = signal.getsignal(signal.SIGTERM)
    with stopping():
        assert signal.getsignal(signal.SIGTERM) != before
    assert signal.getsignal(signal.SIGTERM) == before


async def test_one_that_cannot_start_takes_the_other_with_it():
    async def fails(scope: Scope, _receive: Receive, send: Send) -> None:
        assert scope["type"] == "lifespan"  # type: ignore[comparison-overlap]
        await send({"type": "lifespan.startup.failed", "message": "no"})  # type: ignore[misc]

    idle = listen("127.0.0.1", 0)
    with stopping() as stop:
        parts = [Part(fails, listen("127.0.0.1", 0), lifespan=True), Part(hello, idle)]
        with pytest.raises(StartFailed, match="could not start"):
            await run(parts, stop)
    assert idle.fileno() == -1, "the other one let go of its socket"


async def test_work_beside_that_breaks_off_is_logged_and_harms_nobody(
    caplog: pytest.LogCaptureFixture,
):
    async def breaks() -> None:
        raise ValueError("the reason")

    listener = listen("127.0.0.1", 0)
    with stopping() as stop:
        task = asyncio.create_task(run([Part(hello, listener)], stop, beside=breaks()))
        reader, writer = await asked(listener.getsockname()[1])
        assert await answer_of(reader) == b"hello"
        writer.close()
        signal.raise_signal(signal.SIGTERM)
        await task
    assert "Work beside the server broke off." in caplog.text
    assert "ValueError: the reason" in caplog.text
