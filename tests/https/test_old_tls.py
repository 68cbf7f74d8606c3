"""What is older than TLS 1.2 is not spoken, whatever the other side can do (RFC 8996)."""

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.https.served import serving

OPENSSL = shutil.which("openssl")
WEAKEST = "DEFAULT@SECLEVEL=0"


@pytest.mark.skipif(OPENSSL is None, reason="no openssl command here: apt-get install openssl")
def test_old_tls_is_not_spoken(tmp_path: Path):
    with serving(tmp_path, "--host", "0.0.0.0", "--name", "nubbin.local") as farm:
        spoken = {}
        for version in ("tls1", "tls1_1", "tls1_2", "tls1_3"):
            asked = subprocess.run(
                [str(OPENSSL), "s_client", "-connect", f"127.0.0.1:{farm.https_port}",
                 f"-{version}", "-cipher", WEAKEST],
                input=b"", capture_output=True, timeout=60, check=False,
            )  # fmt: skip
            spoken[version] = b"BEGIN CERTIFICATE" in asked.stdout
    assert spoken == {"tls1": False, "tls1_1": False, "tls1_2": True, "tls1_3": True}
