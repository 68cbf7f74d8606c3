"""`nubbin serve` with HTTPS, from outside: two ports, one stop, and who is believed."""

import signal
import socket
from datetime import timedelta
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.hashes import SHA256

from api.https.leaf import issue
from api.https.pem import now_utc
from tests.https.made import authority, pem, write_files
from tests.https.served import serving
from tests.server.running import free_port, nubbin

OWN = ("--host", "0.0.0.0", "--name", "nubbin.local")
PLAIN = ("--host", "0.0.0.0", "--https", "off")


def test_own_certificates_from_the_first_page_to_the_stop(tmp_path: Path):
    with serving(tmp_path, *OWN) as farm:
        assert farm.base == f"https://nubbin.local:{farm.https_port}"
        with farm.http() as web:
            assert web.get("/").status_code == 200
            assert web.get("/api/health").json()["code"] == "needs-https"
            root = web.get("/ca.crt").content
        fingerprint = x509.load_der_x509_certificate(root).fingerprint(SHA256()).hex(":").upper()
        assert ":".join(farm.printed[4:8]) == fingerprint

        with farm.https(root) as app:
            cookie = farm.sign_in(app)
            assert (cookie.startswith("__Host-nubbin="), "Secure" in cookie) == (True, True)
            reach = app.get("/api/access/reach").json()
            assert reach["addresses"][0] == {"url": farm.base, "stable": True}
            assert reach["onboarding"] == f"http://nubbin.local:{farm.http_port}"
            assert (reach["certificate"]["names"][0], reach["warnings"]) == ("nubbin.local", [])
            audit = app.get("/api/audit").json()["entries"]
            assert [one["who"] for one in audit if one["what"] == "certificate-renewed"] == [None]
            # A connection that is kept open holds up neither of the two.
            farm.stop(signal.SIGTERM)
        for port in (farm.https_port, farm.http_port):
            with pytest.raises(ConnectionRefusedError):
                socket.create_connection(("127.0.0.1", port), 5)

    with serving(tmp_path, *OWN) as again:
        assert again.printed[4:8] == farm.printed[4:8], "the authority stays"
        notes = [line for line in again.stop(signal.SIGINT) if line.startswith("Note: ")]
        assert [f"before, it was {farm.base}. " in note for note in notes] == [True]


def test_certificate_files(tmp_path: Path):
    root = authority(now=now_utc())
    cert, key = write_files(tmp_path, issue(root, ("nubbin.local", "127.0.0.1"), now_utc()))
    options = (*OWN, "--cert", str(cert), "--key", str(key))
    with serving(tmp_path, *options, lines=2) as farm:
        with farm.https(pem(root.pair.certificate).decode()) as app:
            assert app.get("/api/health").json()["name"] == "nubbin"
        with farm.http() as web:
            got = web.get("/")
            assert (got.status_code, f'href="{farm.base}/"' in got.text) == (403, True)
        assert not (tmp_path / "https").exists(), "no authority is made that nobody asked for"


def test_files_that_do_not_fit_are_said_before_anything_is_served(tmp_path: Path):
    root = authority(now=now_utc())
    cert, _ = write_files(tmp_path, issue(root, ("nubbin.local",), now_utc()))
    (tmp_path / "other").mkdir()
    _, other = write_files(tmp_path / "other", issue(root, ("nubbin.local",), now_utc()))
    ran = nubbin("serve", "--data", tmp_path, *OWN, "--cert", cert, "--key", other)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert ran.stderr.startswith("nubbin serve: The private key in ")
    assert "Traceback" not in ran.stderr
    ended = issue(root, ("nubbin.local",), now_utc() - timedelta(days=397))
    cert, key = write_files(tmp_path, ended)
    ran = nubbin("serve", "--data", tmp_path, *OWN, "--cert", cert, "--key", key)
    assert "no phone takes it any more" in ran.stderr


def test_a_port_for_https_that_is_in_use(tmp_path: Path):
    with socket.create_server(("0.0.0.0", 0)) as taken:
        port = str(taken.getsockname()[1])
        options = ("--port", str(free_port()), "--https-port", port)
        ran = nubbin("serve", "--data", tmp_path, *OWN, *options)
    assert (ran.returncode, ran.stdout) == (2, "")
    assert f"Port {port} is in use" in ran.stderr
    assert f"--https-port {int(port) + 1}" in ran.stderr


def test_with_https_off_another_machine_gets_an_explanation(tmp_path: Path):
    view = {"Accept": "text/html,*/*"}
    with serving(tmp_path, *PLAIN, lines=3) as farm:
        assert farm.printed[2].startswith("Note: HTTPS is off")
        with farm.http("192.168.1.5", **view) as web:
            got = web.get("/scan")
            assert (got.status_code, "without HTTPS" in got.text) == (403, True)
            assert web.get("/onboarding.css").headers["content-type"].startswith("text/css")
            assert web.get("/api/health").status_code == 200
            # Nobody was listed, so nobody is believed, on whatever machine it runs.
            forwarded = {"X-Forwarded-Proto": "https"}
            assert web.get("/scan", headers=forwarded).status_code == 403
            assert farm.sign_in(web).startswith("nubbin=")
        for host in ("127.0.0.1", "localhost:8000", "[::1]:8000"):
            with farm.http(host, **view) as web:
                assert web.get("/scan").status_code != 403


def test_only_a_listed_proxy_is_believed(tmp_path: Path):
    forwarded = {
        "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.168.1.77", "Accept": "text/html",
    }  # fmt: skip
    options = ("--host", "0.0.0.0", "--name", "farm.example", "--behind-proxy")
    with serving(tmp_path, *options, "127.0.0.1", lines=2) as farm:
        assert farm.base == "https://farm.example"
        with farm.http("farm.example", **forwarded) as web:
            assert web.get("/scan").status_code != 403
            cookie = farm.sign_in(web)
            assert (cookie.startswith("__Host-nubbin="), "Secure" in cookie) == (True, True)
    (tmp_path / "two").mkdir()
    with (
        serving(tmp_path / "two", *options, "192.0.2.77", lines=2) as farm,
        farm.http("farm.example", **forwarded) as web,
    ):
        assert web.get("/scan").status_code == 403
        cookie = farm.sign_in(web)
        assert (cookie.startswith("nubbin="), "Secure" in cookie) == (True, False)
