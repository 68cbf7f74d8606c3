"""The phone app's files: what is served for which address, how packed, how long kept."""

import gzip
from pathlib import Path

import brotli
import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.headers import POLICY
from api.settings import Settings
from api.shell import choose_coding, is_known
from tests.server.server_farm import Farm

PAGE = b"<!doctype html><title>Nubbin</title>" + b" " * 2000


@pytest.mark.parametrize(
    "path",
    ["/", "/index.html", "/scan", "/q/4JQZKDMG", "/Q/4JQZKDMG", "/sign-in", "/tray/tray.a1", "//x"],
)
def test_screens_get_the_first_page(farm: Farm, path: str):
    answer = farm.client.get(f"http://farm.example{path}")
    assert (answer.status_code, answer.content) == (200, PAGE)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    assert answer.headers["cache-control"] == "no-cache"
    assert answer.headers["content-security-policy"] == POLICY


@pytest.mark.parametrize(
    "path", ["/assets/old-1234.js", "/assets/nothing", "/missing.png", "/a\0b", "/robots.txt"]
)
def test_a_missing_file_is_no_page(farm: Farm, path: str):
    answer = farm.client.get(path.replace("\0", "%00"))
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")


@pytest.mark.parametrize("path", ["/api", "/api/", "/api/none", "/api/me/too", "/api/index.html"])
def test_an_unknown_api_address_is_a_json_404(farm: Farm, path: str):
    answer = farm.client.get(path)
    assert (answer.status_code, answer.json()["code"]) == (404, "not-found")
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.headers["cache-control"] == "no-store"


def test_hashed_files_are_kept_for_good_and_the_worker_is_not(farm: Farm):
    asset = farm.client.get("/assets/main-4f3a9c.js")
    assert asset.headers["cache-control"] == "public, max-age=31536000, immutable"
    assert asset.headers["content-type"] == "text/javascript; charset=utf-8"
    worker = farm.client.get("/sw.js")
    assert worker.headers["cache-control"] == "no-cache"


@pytest.mark.parametrize(
    ("accept", "coding", "unpack"),
    [
        ("br, gzip", "br", brotli.decompress),
        ("gzip", "gzip", gzip.decompress),
        ("identity", None, bytes),
    ],
)
def test_each_form_unpacks_to_the_file(farm: Farm, accept: str, coding: str | None, unpack):
    request = farm.client.build_request("GET", "/sw.js", headers={"Accept-Encoding": accept})
    answer = farm.client.send(request, stream=True)
    raw = b"".join(answer.iter_raw())
    assert answer.headers.get("content-encoding") == coding
    assert unpack(raw) == b"// service worker\n" * 100
    assert answer.headers["vary"] == "Accept-Encoding"
    assert int(answer.headers["content-length"]) == len(raw)


def test_a_picture_is_not_packed_again(farm: Farm):
    answer = farm.client.get("/icon-192.png", headers={"Accept-Encoding": "br"})
    assert "content-encoding" not in answer.headers
    assert answer.content == b"\x89PNG" + bytes(range(256))


def test_what_the_browser_holds_is_not_sent_again(farm: Farm):
    etag = farm.client.get("/sw.js").headers["etag"]
    again = farm.client.get("/sw.js", headers={"If-None-Match": f'"x", {etag}'})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", etag)
    other = farm.client.get("/index.html", headers={"If-None-Match": etag})
    assert other.status_code == 200


def test_head_tells_and_sends_nothing(farm: Farm):
    got, told = farm.client.get("/sw.js"), farm.client.head("/sw.js")
    assert (told.status_code, told.content) == (200, b"")
    assert told.headers["etag"] == got.headers["etag"]


def test_the_app_is_only_read(farm: Farm):
    answer = farm.client.post("/index.html")
    assert (answer.status_code, answer.json()["code"]) == (405, "wrong-method")


@pytest.mark.parametrize(
    ("accept", "chosen"),
    [
        ("", ""),
        ("gzip, deflate, br, zstd", "br"),
        ("br;q=0, gzip", "gzip"),
        ("br;q=0.1, gzip;q=0.9", "br"),
        ("*", "br"),
        ("*;q=0", ""),
        ("br;q=much", ""),
        ("brotli", ""),
    ],
)
def test_which_coding_is_chosen(accept: str, chosen: str):
    assert choose_coding(accept, {"": b"", "br": b"", "gzip": b""}) == chosen


@pytest.mark.parametrize(
    ("sent", "known"),
    [
        ('W/"a"', True),
        ('"a"', True),
        ('"b", W/"a"', True),
        ("*", True),
        ('"b"', False),
        ("", False),
    ],
)
def test_weak_comparison_of_tags(sent: str, known: bool):
    assert is_known(sent, 'W/"a"') is known


def test_an_unbuilt_app_says_how_to_build_it(tmp_path: Path):
    app = create_app(Settings(tmp_path), dist=tmp_path / "dist")
    with TestClient(app) as client:
        for path in ("/", "/scan", "/assets/x.js"):
            answer = client.get(path)
            assert answer.status_code == 503
            assert "npm run build" in answer.text
        assert client.get("/api/health").status_code == 200
