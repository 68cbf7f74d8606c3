"""What a server needs before it runs: its data folder, to be the only one there, and a port.

What could go wrong is found before anything is served, and said in a sentence.
"""

import errno
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from api.settings import Settings
from api.start_errors import AlreadyRunning, CannotListen, NoDataFolder

LOCK = "nubbin.lock"
RESTORING = "restoring-*"
"""Where a backup is unpacked; there only while it is put back."""


def check_folder(data: Path) -> None:
    """Raises NoDataFolder unless `data` is a folder in which files can be made."""
    if not data.exists():
        raise NoDataFolder(
            f"There is no data folder {data}. Make it with: nubbin init --data {data}"
        )
    if not data.is_dir():
        raise NoDataFolder(f"{data} is a file. Give the folder that Nubbin keeps its data in.")
    trial = data / f".trial-{os.getpid()}"
    try:
        trial.touch()
        trial.unlink()
    except OSError as error:
        raise NoDataFolder(
            f"Nothing can be written in the data folder {data} ({error.strerror}). "
            "Give this user the right to write there, or choose another folder with --data."
        ) from error


def check_whole(settings: Settings) -> None:
    """Raises NoDataFolder where putting a backup back was cut off: nothing may begin there."""
    left = sorted(settings.data.glob(RESTORING))
    if left and isinstance(settings.target, Path) and not settings.target.exists():
        raise NoDataFolder(
            f"A backup was being put back into {settings.data}, and that was cut off. Nothing is "
            "lost: what was there before is in the folder 'before-…' beside it. Put the backup "
            f"back once more: nubbin restore FILE --data {settings.data} --replace"
        )


@contextmanager
def only_server(settings: Settings) -> Iterator[None]:
    """Hold the data folder for this process. Raises AlreadyRunning.

    The operating system lets go of the lock when the process ends in whatever way. PostgreSQL
    orders its writers itself, so there several servers may share one database.
    """
    if not settings.is_sqlite:
        yield
        return
    try:
        with FileLock(settings.data / LOCK, timeout=0):
            yield
    except Timeout as error:
        raise AlreadyRunning(
            f"Another Nubbin server already runs on {settings.data}. Use that one, or stop it "
            "first; a second server needs a folder of its own: --data FOLDER"
        ) from error


def listen(host: str, port: int, option: str = "--port") -> socket.socket:
    """A listening socket; port 0 takes a free one. Raises CannotListen.

    option  the command's option by which another port is chosen
    """
    try:
        [(family, _, _, _, address), *_] = socket.getaddrinfo(
            host or None, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )
    except socket.gaierror as error:
        raise CannotListen(_no_address(host)) from error
    listener = socket.socket(family, socket.SOCK_STREAM)
    try:
        if os.name == "posix":
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(256)
    except OSError as error:
        listener.close()
        raise CannotListen(_why(host, port, option, error)) from error
    return listener


def _why(host: str, port: int, option: str, error: OSError) -> str:
    if error.errno == errno.EADDRINUSE:
        return (
            f"Port {port} is in use. Stop the program that uses it, or choose another port: "
            f"{option} {port + 1 if port < 65535 else 8000}"
        )
    if error.errno in (errno.EACCES, errno.EPERM):
        return f"This user may not listen on port {port}. Choose one above 1023, such as 8000."
    return _no_address(host)


def _no_address(host: str) -> str:
    return (
        f"This machine has no address '{host}' to listen on. Use 127.0.0.1 for this machine alone, "
        "or 0.0.0.0 for every address it has."
    )
