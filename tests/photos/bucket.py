"""A server of the S3 protocol on this machine, as a process of its own."""

import os
import socket
import subprocess
import sys
import time
from dataclasses import replace

import httpx

from api.photos.settings import PhotoSettings

SERVE = "import sys; from moto.server import main; main(['-H', '127.0.0.1', '-p', sys.argv[1]])"
SIGNED = {
    "Authorization": "AWS4-HMAC-SHA256 Credential=key/20260101/us-east-1/s3/aws4_request, "
    "SignedHeaders=host, Signature=none"
}
"""This server asks who signs, and does not check the signature."""


class BucketServer:
    """Started on making, with an empty bucket; `stop` ends it, as if the network were cut."""

    def __init__(self) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = probe.getsockname()[1]
        self.settings = PhotoSettings(
            "farm", f"http://127.0.0.1:{port}", key_id="key", secret_key="secret"
        )
        self.process = subprocess.Popen(
            [sys.executable, "-c", SERVE, str(port)], env=dict(os.environ),
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        self._wait()
        assert self._put("farm").status_code == 200

    def other(self, bucket: str) -> PhotoSettings:
        """Settings for a bucket that is not there."""
        return replace(self.settings, bucket=bucket)

    def objects(self) -> dict[str, str]:
        """What the bucket holds, with its media type, asked without the library under test."""
        listing = httpx.get(f"{self.settings.endpoint}/farm").text
        names = [part.partition("</Key>")[0] for part in listing.split("<Key>")[1:]]
        found = {}
        for name in names:
            address = f"{self.settings.endpoint}/farm/{name}"
            assert httpx.head(address).status_code == 403, "strangers are shown nothing"
            found[name] = httpx.head(address, headers=SIGNED).headers["content-type"]
        return found

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(20)

    def _put(self, path: str) -> httpx.Response:
        return httpx.put(f"{self.settings.endpoint}/{path}")

    def _wait(self) -> None:
        for _ in range(1200):
            try:
                httpx.get(self.settings.endpoint)
            except httpx.TransportError:
                assert self.process.poll() is None, "the server of the protocol does not start"
                time.sleep(0.05)
            else:
                return
        raise AssertionError("the server of the protocol does not answer")
