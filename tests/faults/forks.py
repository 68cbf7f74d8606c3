"""A process that has the product imported once and forks what a test needs from it.

A server forked here is a process like any other: it listens on a port, it can be killed with
SIGKILL at any moment, and nothing of it outlives that but what it wrote to its database. Forking
only saves the second that importing takes. Orders are lines of JSON, answered one for one:

  {"do": "serve", …Serve}               -> {"pid": …}       connections may be made at once
  {"do": "wait", "pid": …}              -> {"signal": …}    0 where it ended by itself
  {"do": "call", "name": …, "database": …, "args": {…}}  -> {"result": …} of tests.faults.inside
"""

import asyncio
import ctypes
import json
import os
import signal
import socket
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec
import uvicorn

from api.app import create_app
from api.serving import listen
from api.settings import Settings
from api.shell import build_table, dist_folder
from tests.faults import inside
from tests.faults.killing import Trap, set_trap

DIES_WITH_PARENT = 1  # PR_SET_PDEATHSIG of <linux/prctl.h>
PATIENCE_S = 30


class Serve(msgspec.Struct, frozen=True, kw_only=True):
    """`database` empty: SQLite in `data`. `dist`: another built app. `trap`: where it is to die."""

    data: str
    database: str = ""
    port: int
    log: str
    dist: str | None = None
    trap: Trap | None = None


def main() -> None:
    """Take orders until standard input ends, then end every process that was forked."""
    create_app(Settings(data=Path()))  # imports what is imported late, and packs the app once
    children: set[int] = set()
    for line in sys.stdin:
        order = json.loads(line)
        answer = ORDERS[order.pop("do")](order, children)
        print(json.dumps(answer), flush=True)
    for pid in children:
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)


def _serve(order: dict[str, Any], children: set[int]) -> dict[str, Any]:
    what = msgspec.convert(order, Serve)
    build_table(_dist(what))  # remembered, so that no child has to pack the app again
    listener = listen("127.0.0.1", what.port)
    pid = _fork(lambda: asyncio.run(_run(what, listener)), Path(what.log))
    listener.close()
    children.add(pid)
    return {"pid": pid}


def _wait(order: dict[str, Any], children: set[int]) -> dict[str, Any]:
    for _ in range(PATIENCE_S * 100):
        pid, status = os.waitpid(order["pid"], os.WNOHANG)
        if pid:
            break
        time.sleep(0.01)
    else:
        return {"failed": "The server was to end and did not."}
    children.discard(order["pid"])
    return {"signal": os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0}


def _call(order: dict[str, Any], _children: set[int]) -> dict[str, Any]:
    reading, writing = os.pipe()

    def work() -> None:
        result = asyncio.run(inside.call(order["database"], order["name"], order["args"]))
        with os.fdopen(writing, "wb") as out:
            out.write(json.dumps({"result": result}).encode())

    pid = _fork(work, Path(order["log"]))
    os.close(writing)
    with os.fdopen(reading, "rb") as told:
        answer = told.read()
    os.waitpid(pid, 0)
    return dict(json.loads(answer)) if answer else {"failed": Path(order["log"]).read_text("utf-8")}


ORDERS = {"serve": _serve, "wait": _wait, "call": _call}


def _fork(work: Callable[[], None], log: Path) -> int:
    """Do `work` in a child that shares nothing with this process but the memory's past."""
    pid = os.fork()
    if pid:
        return pid
    code = 1
    try:
        if sys.platform == "linux":
            ctypes.CDLL(None).prctl(DIES_WITH_PARENT, signal.SIGKILL)
        with log.open("ab") as out:
            os.dup2(out.fileno(), 1)
            os.dup2(out.fileno(), 2)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        work()
        code = 0
    finally:
        if code:
            sys.excepthook(*sys.exc_info())
        sys.stderr.flush()
        os._exit(code)
    return 0


async def _run(what: Serve, listener: socket.socket) -> None:
    """The product's app on the product's server, with the trap set around its functions."""
    if what.trap is not None:
        set_trap(what.trap)
    settings = Settings(data=Path(what.data), database=what.database, port=what.port)
    app = create_app(settings, dist=_dist(what))
    config = uvicorn.Config(app, lifespan="on", log_level="warning", access_log=False,
                            timeout_graceful_shutdown=1)  # fmt: skip
    await uvicorn.Server(config).serve(sockets=[listener])


def _dist(what: Serve) -> Path:
    return Path(what.dist) if what.dist else dist_folder()


if __name__ == "__main__":
    main()
