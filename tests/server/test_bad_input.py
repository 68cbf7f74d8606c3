"""Whatever is thrown at the edges, no answer is the server's fault and nothing is let out."""

import socket
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import httpx
import pytest

from tests.server.running import address, nubbin, started
from tests.server.server_farm import Farm

SECRET = "a line that must never leave the data folder"

PATHS = [
    "/%00", "/api/%00", "/assets/%00.js", "/index.html%00", "/api/labels/%00.png",
    "/" + "a" * 4000, "/api/" + "a" * 4000, "/" + "/".join("a" * 600), "/api/labels/" + "x" * 4000,
    "/../nubbin.toml", "/%2e%2e/nubbin.toml", "/..%2fnubbin.toml", "/..%5cnubbin.toml",
    "/assets/../../nubbin.toml", "/assets/%2e%2e/%2e%2e/nubbin.toml", "/assets//../nubbin.toml",
    "//nubbin.toml", "/%2f%2fetc%2fpasswd", "/file:///etc/passwd", "/C:%5cwindows",
    "/....//....//nubbin.toml", "/%252e%252e%252fnubbin.toml", "/%c0%ae%c0%ae/nubbin.toml",
    "/%ff%fe", "/api/%ff", "/%ed%a0%80", "/\u202e".encode().decode("latin-1"),
    "/api/labels/..%2f..%2fnubbin.toml", "/api/labels/4JQZKDMG.png%00", "/api/me/../../nubbin.toml",
    "/nul", "/aux.js", "/.git/config", "/.env", "/?" + "q=1&" * 500, "/api/health?%00=%ff",
    "/api/sync/pull?after=%00", "/api/sync/pull?limit=1e400", "/api/labels/x.png?dpi=nan",
]  # fmt: skip

BODIES = [
    b"", b"null", b"[]", b"{}", b"{", b'{"token":', b'"', b"\x00", b"\xff\xfe", b"\xef\xbb\xbf{}",
    b'{"token":3,"device_name":"x"}', b'{"token":"x","device_name":3}',
    b'{"token":"x","device_name":"x","more":1}', b'{"token":"x","device_name":""}',
    b'{"token":"x","device_name":"a\\u0000b"}', b'{"token":"x","device_name":"\\ud800"}',
    b'{"token":"' + b"x" * 300 + b'","device_name":"x"}',
    b'{"token":"x","device_name":"' + b"y" * 121 + b'"}',
    b'{"token":"x","device_name":"x","device":"../.."}',
    b"[" * 100_000, b'{"a":' * 100_000, b'{"token":"x","token":"y"}', b"1e999", b"NaN",
]  # fmt: skip


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    data = tmp_path_factory.mktemp("farm")
    nubbin("init", "--data", data)
    (data / "nubbin.toml").write_text(f"# {SECRET}\n")
    with started("serve", "--data", data, "--port", "0") as (_, line):
        yield address(line)[0]


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_no_path_is_the_servers_fault_or_opens_a_file(base: str, method: str):
    host, port = base.removeprefix("http://").split(":")
    for path in PATHS:
        raw = path.encode("latin-1") if path.isascii() else quote(path).encode()
        answer = exchange(host, int(port), method.encode(), raw)
        status = int(answer.split(b" ", 2)[1])
        assert status < 500 or b"has not been built" in answer, (path, answer[:300])
        assert SECRET.encode() not in answer
        assert b"root:" not in answer


def exchange(host: str, port: int, method: bytes, path: bytes) -> bytes:
    """One request as raw bytes: a client library would tidy the path up."""
    head = b"%b %b HTTP/1.1\r\nHost: %b\r\nConnection: close\r\n" % (method, path, host.encode())
    with socket.create_connection((host, port), timeout=10) as connection:
        connection.sendall(head + b"Sec-Fetch-Site: same-origin\r\nContent-Length: 0\r\n\r\n")
        parts = []
        try:
            while part := connection.recv(65536):
                parts.append(part)
        except ConnectionResetError:
            pass  # hung up on before all was sent: that is an answer too
    return b"".join(parts)


def test_a_request_line_without_end_is_refused(base: str):
    host, port = base.removeprefix("http://").split(":")
    answer = exchange(host, int(port), b"GET", b"/" + b"a" * 200_000)
    assert answer == b"" or 400 <= int(answer.split(b" ", 2)[1]) < 500
    assert httpx.get(f"{base}/api/health").status_code == 200


@pytest.mark.parametrize("body", BODIES, ids=lambda body: repr(body[:24]))
def test_every_bad_claim_is_a_400_with_a_sentence(farm: Farm, body: bytes):
    headers = {"Content-Type": "application/json"}
    answer = farm.client.post("/api/access/claim", content=body, headers=headers)
    problem = answer.json()
    assert answer.headers["content-type"] == "application/problem+json"
    assert (answer.status_code, problem["status"]) == (400, 400)
    assert problem["code"] in ("not-json", "bad-body")
    assert problem["type"] == f"/problems/{problem['code']}"
    assert problem["detail"].endswith(".")
    assert farm.sql("SELECT COUNT(*) FROM session") == [(0,)]


@pytest.mark.parametrize(
    "body",
    [b'{"count":"3"}', b'{"count":3.0}', b'{"count":true}', b'{"count":0}', b'{"count":10001}'],
)
def test_numbers_are_read_strictly(signed_in: Farm, body: bytes):
    headers = {"Content-Type": "application/json"}
    answer = signed_in.client.post("/api/labels/mint", content=body, headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-body")
    assert signed_in.sql("SELECT COUNT(*) FROM label_code") == [(0,)]


def test_a_body_over_a_mebibyte_is_not_read(farm: Farm):
    headers = {"Content-Type": "application/json"}
    big = b'{"token":"x","device_name":"' + b"y" * 1024 * 1024 + b'"}'
    told = farm.client.post("/api/access/claim", content=big, headers=headers)
    untold = farm.client.post("/api/access/claim", content=iter([big]), headers=headers)
    for answer in (told, untold):
        assert (answer.status_code, answer.json()["code"]) == (413, "too-large")


def test_a_broken_cookie_is_no_session(farm: Farm):
    for cookie in ("nubbin=", "nubbin=\x7f", "nubbin=" + "x" * 4000, 'nubbin="', "=;;,", "nubbin"):
        answer = farm.client.get("/api/me", headers={"Cookie": cookie})
        assert answer.status_code == 401, cookie


def test_a_host_that_is_none_is_refused(farm: Farm):
    answer = farm.client.get("/api/health", headers={"Host": "farm.example/evil"})
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-request")


def test_the_data_folder_is_not_the_apps_folder(tmp_path: Path):
    assert nubbin("init", "--data", tmp_path).returncode == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["nubbin.sqlite"]
