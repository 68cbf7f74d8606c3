"""What a device that does not trust the farm yet is given over plain HTTP."""

import hashlib
import plistlib
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from cryptography import x509
from litestar import Litestar
from litestar.testing import TestClient
from PIL import Image, ImageDraw

from api.headers import EVERYWHERE
from api.https.onboarding import onboarding_app
from api.https.renew import OwnCertificates
from tests.https.made import reach
from tests.labels.reading import decode

APP = "https://nubbin.local:8443"
TOKENS = Path(__file__).parents[2] / "pwa" / "src" / "tokens.css"
BROWSERS = {
    "iPhone or iPad": "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Safari/604.1",
    "Android phone or tablet": "Mozilla/5.0 (Linux; Android 15) Chrome/140 Mobile Safari/537.36",
    "Windows": "Mozilla/5.0 (Windows NT 10.0; Win64; x64) Chrome/140 Safari/537.36",
    "macOS": "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) Safari/605.1.15",
    "Linux with Chromium": "Mozilla/5.0 (X11; Linux x86_64) Chrome/140 Safari/537.36",
    "Firefox, on any computer": "Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Firefox/140.0",
}


class Reader(HTMLParser):
    """What a page shows: its links, pictures, headings, and the steps that stand open."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.opened: list[str] = []
        self.text = ""
        self._open = self._summary = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag == "details":
            self._open = "open" in dict(attrs)
        self._summary = tag == "summary"

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._summary and self._open and data.strip():
            self.opened.append(data.strip())

    def all(self, tag: str, attribute: str) -> list[str | None]:
        return [attrs.get(attribute) for name, attrs in self.tags if name == tag]


def client(app: Litestar) -> TestClient[Litestar]:
    return TestClient(app, base_url="http://192.168.1.5:8000")


@pytest.fixture
def own(tmp_path: Path) -> TestClient[Litestar]:
    return client(onboarding_app(reach(tmp_path)))


def test_the_first_page_shows_what_to_compare_and_what_it_means(tmp_path: Path):
    here = reach(tmp_path)
    assert isinstance(here.certificates, OwnCertificates)
    got = client(onboarding_app(here)).get("/")
    page = Reader(got.text)
    shown = re.sub(r"[^0-9A-F]", "", re.search(r"(?:[0-9A-F]{2}[:\s]){31}..", page.text)[0])
    assert shown == hashlib.sha256(here.certificates.authority.der).hexdigest().upper()
    words = " ".join(page.text.split())
    assert "names that exist only inside a building" in words
    assert "When you leave this farm, remove it again" in words
    assert set(page.all("a", "href")) == {"/ca.mobileconfig", "/ca.crt", f"{APP}/"}
    assert page.all("img", "src") == ["/qr.svg"]
    assert page.all("img", "alt") == [f"QR code of {APP}"]
    assert page.text.count("To remove it:") == len(BROWSERS)


def test_an_authority_that_is_not_bound_says_so(tmp_path: Path):
    page = client(onboarding_app(reach(tmp_path, constrained=False))).get("/").text
    assert "not\nbound to local names" in page
    assert "no belief" not in page


@pytest.mark.parametrize(("device", "agent"), BROWSERS.items())
def test_the_steps_of_this_device_stand_open(own: TestClient[Litestar], device: str, agent: str):
    assert Reader(own.get("/", headers={"User-Agent": agent}).text).opened == [device]


def test_an_unknown_device_finds_all_steps_closed(own: TestClient[Litestar]):
    page = Reader(own.get("/", headers={"User-Agent": "<script>"}).text)
    assert (page.opened, page.all("details", "class")) == ([], [None] * len(BROWSERS))


def test_the_certificate_alone_is_handed_out(tmp_path: Path):
    here = reach(tmp_path)
    got = client(onboarding_app(here)).get("/ca.crt")
    assert got.headers["content-type"] == "application/x-x509-ca-cert"
    assert got.headers["content-disposition"] == 'inline; filename="nubbin-authority.crt"'
    certificate = x509.load_der_x509_certificate(got.content)
    assert certificate == here.certificates.authority.pair.certificate
    assert b"PRIVATE" not in got.content


def test_the_profile_for_iphones(tmp_path: Path):
    here = reach(tmp_path)
    web = client(onboarding_app(here))
    got = web.get("/ca.mobileconfig")
    assert got.headers["content-type"] == "application/x-apple-aspen-config"
    profile = plistlib.loads(got.content)
    [part] = profile.pop("PayloadContent")
    assert part["PayloadType"] == "com.apple.security.root"
    assert part["PayloadContent"] == web.get("/ca.crt").content
    assert (profile["PayloadType"], profile["PayloadVersion"]) == ("Configuration", 1)
    assert profile["PayloadUUID"] != part["PayloadUUID"]
    for one in (profile, part):
        assert re.fullmatch(r"[0-9A-F]{8}(-[0-9A-F]{4}){3}-[0-9A-F]{12}", one["PayloadUUID"])
        assert one["PayloadDisplayName"].startswith("Nubbin authority ")
    assert client(onboarding_app(here)).get("/ca.mobileconfig").content == got.content


def test_the_qr_code_leads_to_the_app(own: TestClient[Litestar]):
    got = own.get("/qr.svg")
    assert got.headers["content-type"].startswith("image/svg+xml")
    assert [found.text for found in decode(drawn(got.text))] == [APP]


def drawn(svg: str) -> Image.Image:
    """The modules of the path, each a unit square, drawn by other means than a browser."""
    [size] = {int(n) for n in re.search(r'viewBox="0 0 (\d+) (\d+)"', svg).groups()}
    picture = Image.new("L", (size * 8, size * 8), 255)
    pen = ImageDraw.Draw(picture)
    for x, y in re.findall(r"M(\d+),(\d+)H\d+V\d+H\d+z", svg):
        pen.rectangle((int(x) * 8, int(y) * 8, int(x) * 8 + 7, int(y) * 8 + 7), fill=0)
    return picture


@pytest.mark.parametrize("path", ["/scan", "/sign-in", "/q/4JQZKDMN", "/x%22%3E%3Cb%3E", "/%00"])
def test_any_other_page_explains_and_leads_on(own: TestClient[Litestar], path: str):
    got = own.get(path)
    page = Reader(got.text)
    assert got.status_code == 403
    assert "You opened Nubbin without HTTPS" in page.text
    assert page.all("a", "href") == [f"{APP}{path}", "/"]
    assert "b" not in [tag for tag, _ in page.tags]


@pytest.mark.parametrize(
    ("method", "path"),
    [("GET", "/api/health"), ("POST", "/api/sync/push"), ("POST", "/"), ("PUT", "/ca.crt"),
     ("DELETE", "/x"), ("PATCH", "/api/photos/0")],
)  # fmt: skip
def test_programs_get_a_problem(own: TestClient[Litestar], method: str, path: str):
    got = own.request(method, path)
    assert got.headers["content-type"] == "application/problem+json"
    expected = (403, "needs-https") if path.startswith("/api") or path == "/x" else None
    if expected:
        assert (got.status_code, got.json()["code"]) == expected
        assert APP in got.json()["detail"]
    else:
        assert got.status_code == 405


@pytest.mark.parametrize(
    "path", ["/", "/ca.crt", "/ca.mobileconfig", "/qr.svg", "/onboarding.css", "/scan", "/api/me"]
)
def test_the_strict_headers_hold(own: TestClient[Litestar], path: str):
    got, head = own.get(path), own.head(path)
    assert {name: got.headers[name] for name in EVERYWHERE} == EVERYWHERE
    assert (head.status_code, head.content) == (got.status_code, b"")
    if path in ("/", "/scan"):
        page = Reader(got.text)
        assert page.all("link", "href") == ["/onboarding.css"]
        assert {"script", "style"}.isdisjoint(tag for tag, _ in page.tags)
        assert not [a for _, attrs in page.tags for a in attrs if a == "style" or a[:2] == "on"]


@pytest.mark.parametrize("path", ["/" + "a" * 5000, "/..%2f..%2fetc/passwd", "/%ff%fe", "/ca.crt/"])
def test_odd_addresses_break_nothing(own: TestClient[Litestar], path: str):
    assert own.get(path).status_code < 500


def test_colours_are_those_of_the_app(own: TestClient[Litestar]):
    """Both sheets name roles alike; what stands in both has one value, light and dark."""
    assert roles(own.get("/onboarding.css").text).items() <= roles(TOKENS.read_text()).items()


def roles(sheet: str) -> dict[tuple[str, int], str]:
    """Each role with its turn: the light value comes first, the dark one second."""
    found: dict[tuple[str, int], str] = {}
    for name, value in re.findall(r"(--[a-z-]+):\s*([^;]+);", sheet):
        turn = sum(1 for known, _ in found if known == name)
        found[name, turn] = re.sub(r"\s+", " ", value)
    return found


def test_with_certificate_files_there_is_nothing_to_trust(tmp_path: Path):
    here = reach(tmp_path)
    here.certificates = Files()  # type: ignore[assignment]
    web = client(onboarding_app(here))
    for path in ("/", "/ca.crt"):
        assert Reader(web.get(path).text).all("a", "href") == [f"{APP}{path}"]


class Files:
    """Certificates that are not of our own making."""


def test_with_https_off_the_page_speaks_to_whoever_keeps_the_server(tmp_path: Path):
    got = client(onboarding_app(reach(tmp_path, https="off"))).get("/scan")
    assert got.status_code == 403
    assert 'https = "own"' in Reader(got.text).text
    assert Reader(got.text).all("a", "href") == []
