"""A real Chromium: what trusting the farm's authority opens to the app, and what it does not."""

from collections.abc import Iterator
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, BrowserContext, Error, Playwright, expect, sync_playwright

from api.https.authority import keep_authority
from api.https.leaf import issue
from api.https.pem import now_utc, write_pair
from tests.https.browsers import chromium, make_home, one_page_over_https
from tests.https.served import Served, serving
from tests.labels.camera import write_camera
from tests.labels.reading import decode

PHONE = {"width": 320, "height": 700}
CAMERA = """navigator.mediaDevices.getUserMedia({video: true})
            .then(stream => stream.getVideoTracks()[0].readyState)"""
WORKER = "navigator.serviceWorker.ready.then(worker => worker.scope)"
REGISTER = (
    "navigator.serviceWorker.register('/sw.js').then(() => 'registered', error => error.name)"
)


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def camera(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("camera") / "camera.mjpeg"
    write_camera(path, None)
    return path


@pytest.fixture(scope="module", params=["nubbin.local", "192.168.7.7"])
def farm(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Served]:
    """A farm under a local name, and one under a private address that it keeps for good."""
    with serving(
        tmp_path_factory.mktemp("farm"), "--host", "0.0.0.0", "--name", request.param
    ) as s:
        yield s


@pytest.fixture(scope="module")
def root(farm: Served, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The authority as a device fetches it."""
    file = tmp_path_factory.mktemp("root") / "ca.crt"
    with farm.http() as web:
        file.write_bytes(web.get("/ca.crt").content)
    return file


@pytest.fixture(scope="module")
def trusting(
    playwright: Playwright, root: Path, camera: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Browser]:
    with chromium(playwright, make_home(tmp_path_factory.mktemp("home"), root), camera) as browser:
        yield browser


@pytest.fixture(scope="module")
def doubting(
    playwright: Playwright, camera: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Browser]:
    with chromium(playwright, make_home(tmp_path_factory.mktemp("home"), None), camera) as browser:
        yield browser


def phone(browser: Browser, **options: object) -> BrowserContext:
    return browser.new_context(viewport=PHONE, permissions=["camera"], **options)  # type: ignore


def test_trusted_the_app_has_camera_and_service_worker_and_works_offline(
    trusting: Browser, farm: Served
):
    context = phone(trusting)
    page = context.new_page()
    page.goto(f"{farm.base}/sign-in#{farm.token}")
    page.wait_for_url("**/scan", timeout=30_000)
    assert page.evaluate("isSecureContext") is True
    assert page.evaluate(CAMERA) == "live"
    assert page.evaluate(WORKER) == f"{farm.base}/"
    context.set_offline(True)
    page.reload()
    expect(page).to_have_title("Scan · Nubbin")
    context.close()


def test_not_trusted_the_app_does_not_open(doubting: Browser, farm: Served):
    context = phone(doubting)
    with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
        context.new_page().goto(f"{farm.base}/scan")
    context.close()


def test_past_the_warning_there_is_no_service_worker(doubting: Browser, farm: Served):
    context = phone(doubting, ignore_https_errors=True)
    page = context.new_page()
    page.goto(f"{farm.base}/scan")
    assert page.evaluate(REGISTER) == "SecurityError"
    context.close()


def test_plain_http_from_elsewhere_explains_and_leads_to_the_steps(doubting: Browser, farm: Served):
    context = phone(doubting)
    page = context.new_page()
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text))
    host = farm.base.split("//")[1].split(":")[0]
    page.goto(f"http://{host}:{farm.http_port}/scan")
    expect(page.get_by_role("heading", level=1)).to_have_text("Nubbin needs HTTPS")
    assert page.evaluate("isSecureContext") is False
    assert page.evaluate("[navigator.mediaDevices, navigator.serviceWorker]") == [None, None]
    leads = page.get_by_role("link", name="Open it at")
    assert leads.get_attribute("href") == f"{farm.base}/scan"
    page.get_by_role("link", name="Show me the steps").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Bring this device to Nubbin")
    assert [text for text in said if "Content Security Policy" in text] == []
    context.close()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_steps_fit_a_narrow_phone_and_a_gloved_thumb(
    doubting: Browser, farm: Served, scheme: str
):
    context = phone(doubting, color_scheme=scheme)
    page = context.new_page()
    page.goto(f"http://127.0.0.1:{farm.http_port}/")
    paper = {"light": "rgb(246, 241, 230)", "dark": "rgb(20, 25, 26)"}[scheme]
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == paper
    for summary in page.locator("summary").all():
        if summary.locator("..").get_attribute("open") is None:
            summary.click()
    targets = page.locator("summary, a.act").all()
    boxes = [box for target in targets if (box := target.bounding_box())]
    assert (len(boxes), min(box["height"] for box in boxes) >= 48) == (len(targets), True)
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
    picture = Image.open(BytesIO(page.get_by_role("img").screenshot()))
    assert [found.text for found in decode(picture)] == [farm.base]
    context.close()


def test_the_farms_authority_counts_for_nothing_elsewhere(
    playwright: Playwright, camera: Path, tmp_path: Path
):
    """A certificate for a public name, signed with the authority's own key, is refused."""
    authority = keep_authority(tmp_path, (), True, now_utc())
    (tmp_path / "root.der").write_bytes(authority.der)
    home = make_home(tmp_path / "home", tmp_path / "root.der")
    seen = {}
    with chromium(playwright, home, camera) as browser:
        for name in ("nubbin.local", "bank.example"):
            write_pair(tmp_path / f"{name}.pem", issue(authority, (name,), now_utc()))
            with one_page_over_https(tmp_path / f"{name}.pem") as port:
                page = browser.new_page()
                try:
                    page.goto(f"https://{name}:{port}/")
                    seen[name] = page.title()
                except Error as error:
                    seen[name] = str(error).partition(" at ")[0]
    assert seen == {"nubbin.local": "reached", "bank.example": "Page.goto: net::ERR_CERT_INVALID"}
