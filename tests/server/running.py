"""`nubbin` as its own process, as a person would start it."""

import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).parents[2]


def nubbin(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end."""
    return subprocess.run(
        command(*arguments), cwd=ROOT, env=surroundings(environment), capture_output=True,
        text=True, check=False, timeout=60,
    )  # fmt: skip


@contextmanager
def started(*arguments: str | Path, **environment: str) -> Iterator[tuple[subprocess.Popen, str]]:
    """A running server and the first line it printed; stopped at the end."""
    process = subprocess.Popen(
        command(*arguments), cwd=ROOT, env=surroundings(environment), text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    try:
        yield process, process.stdout.readline().strip()
    finally:
        process.terminate()
        process.communicate(timeout=30)


def command(*arguments: str | Path) -> list[str]:
    return [sys.executable, "-m", "api.cli", *map(str, arguments)]


def surroundings(more: dict[str, str]) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if not name.startswith("NUBBIN_")}
    return kept | more


def address(line: str) -> tuple[str, str | None]:
    """The base address and the token in 'Open http://…/sign-in#TOKEN'."""
    found = re.fullmatch(r"Open (http://[^/]+)(?:/sign-in#([\w-]{43}))?", line)
    assert found, line
    return found[1], found[2]


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
