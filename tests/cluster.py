"""A PostgreSQL cluster of the tests' own, from the system's binaries, as an unprivileged user."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Callable
from pathlib import Path

NO_BINARIES = "PostgreSQL is not installed here (Debian: apt-get install postgresql)"


def find_binaries() -> Path | None:
    """The newest folder that holds initdb."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    on_path = shutil.which("initdb")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


class Cluster:
    """Started on making; `stop` ends it and removes its folder."""

    def __init__(self, binaries: Path) -> None:
        self.binaries = binaries
        self.folder = Path(tempfile.mkdtemp(prefix="nubbin-pg-"))
        self.port = _free_port()
        if os.getuid() == 0:
            os.chown(self.folder, *_user())
        self._run("initdb", "-D", str(self.folder / "data"), "-A", "trust", "-U", "postgres", "-N")
        options = f"-p {self.port} -k {self.folder} -c listen_addresses=127.0.0.1 -c fsync=off"
        log = str(self.folder / "log")
        self._run(
            "pg_ctl", "-D", str(self.folder / "data"), "-o", options, "-l", log, "-w", "start"
        )
        self._count = 0

    def new_database(self) -> str:
        """The address of a new, empty database."""
        self._count += 1
        name = f"t{self._count}"
        self._run("createdb", "-h", "127.0.0.1", "-p", str(self.port), "-U", "postgres", name)
        return f"postgresql://postgres@127.0.0.1:{self.port}/{name}"

    def stop(self) -> None:
        self._run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        # A server that inherits a pipe would keep it open, and the caller would wait for ever.
        with (self.folder / "said").open("ab") as said:
            ran = subprocess.run(
                [str(self.binaries / program), *arguments], stdin=subprocess.DEVNULL,
                stdout=said, stderr=said, check=False, preexec_fn=_drop_root(), cwd=self.folder,
            )  # fmt: skip
        assert ran.returncode == 0, (self.folder / "said").read_text("utf-8")


def _user() -> tuple[int, int]:
    entry = pwd.getpwnam("postgres")
    return entry.pw_uid, entry.pw_gid


def _drop_root() -> Callable[[], None] | None:
    if os.getuid() != 0:
        return None
    uid, gid = _user()

    def drop() -> None:
        os.setgid(gid)
        os.setuid(uid)

    return drop


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])
