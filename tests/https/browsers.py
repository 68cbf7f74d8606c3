"""Chromium with an authority in its own list, or with none: each has a home folder to itself."""

import contextlib
import http.server
import os
import shutil
import ssl
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Playwright

from tests.labels.camera import chromium_arguments

NO_CERTUTIL = "certutil is not installed here (Debian: apt-get install libnss3-tools)"
NAMES = ("nubbin.local", "192.168.7.7", "bank.example")


def make_home(folder: Path, root: Path | None) -> Path:
    """A home folder whose NSS database trusts `root` (DER or PEM) for websites, or nobody."""
    if root is not None:
        program = shutil.which("certutil")
        if program is None:
            pytest.skip(NO_CERTUTIL)
        database = folder / ".pki" / "nssdb"
        database.mkdir(parents=True)
        where = ["-d", f"sql:{database}"]
        subprocess.run([program, "-N", *where, "--empty-password"], check=True)
        added = ["-A", "-n", "nubbin", "-t", "C,,", "-i", str(root)]
        subprocess.run([program, *added, *where], check=True)
    return folder


@contextlib.contextmanager
def chromium(playwright: Playwright, home: Path, camera: Path) -> Iterator[Browser]:
    """The system's Chromium, else Playwright's own. Names lead to this machine, as in a farm's
    network; the page is given a camera."""
    own = next((found for name in ("chromium", "chromium-browser", "google-chrome")
                if (found := shutil.which(name))), None)  # fmt: skip
    rules = ", ".join(f"MAP {name} 127.0.0.1" for name in NAMES)
    browser = playwright.chromium.launch(
        executable_path=own,
        args=[*chromium_arguments(camera), f"--host-resolver-rules={rules}"],
        env={**os.environ, "HOME": str(home), "XDG_DATA_HOME": str(home / "data")},
    )
    try:
        yield browser
    finally:
        browser.close()


@contextlib.contextmanager
def one_page_over_https(both: Path) -> Iterator[int]:
    """A server of one page with the certificate and key in a file; its port."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(both)
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Page)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield server.server_address[1]
    server.shutdown()
    server.server_close()
    thread.join(10)


class _Page(http.server.BaseHTTPRequestHandler):
    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>reached</title>")

    def log_message(self, format: str, *args: object) -> None:
        """Nothing is written on the terminal."""
