"""A real Chromium whose camera sees a label that this project made, before a real server.

One browser a module: while Playwright runs, no other test of the thread can have an event loop.
"""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.async_api import expect as expect_async
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Error,
    Page,
    Playwright,
    expect,
    sync_playwright,
)

from tests.browser.farm import Farm, Served
from tests.labels.camera import chromium_arguments, write_camera

# Files run side by side: what comes in half a second may take some on a busy machine.
PATIENCE_MS = 15_000
expect.set_options(timeout=PATIENCE_MS)
expect_async.set_options(timeout=PATIENCE_MS)

PHONE = {"width": 390, "height": 844}
NO_BROWSER = (
    "No Chromium was found and Playwright could not fetch one. "
    "Type: apt-get install chromium   (or: .venv/bin/playwright install chromium)"
)


@pytest.fixture(scope="module")
def camera(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The file that the camera sees; begin with an empty tank."""
    path = tmp_path_factory.mktemp("camera") / "camera.mjpeg"
    write_camera(path, None)
    return path


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Playwright, camera: Path) -> Iterator[Browser]:
    """The system's Chromium, else Playwright's own, else the one it can fetch."""
    arguments = chromium_arguments(camera)
    own = next((found for name in ("chromium", "chromium-browser", "google-chrome")
                if (found := shutil.which(name))), None)  # fmt: skip
    try:
        launched = playwright.chromium.launch(executable_path=own, args=arguments)
    except Error:
        launched = _fetched(playwright, arguments)
    yield launched
    launched.close()


def _fetched(playwright: Playwright, arguments: list[str]) -> Browser:
    import subprocess
    import sys

    subprocess.run([sys.executable, "-m", "playwright", "install", "chromium"], check=False)
    try:
        return playwright.chromium.launch(args=arguments)
    except Error as error:
        pytest.fail(f"{NO_BROWSER}\n{error}", pytrace=False)


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    server = Served(tmp_path)
    yield server
    server.stop()


@pytest.fixture
def farm(served: Served) -> Farm:
    return served.start()


@pytest.fixture
def phone(browser: Browser, farm: Farm) -> Iterator[BrowserContext]:
    """A phone that is signed in and has the app for offline use."""
    context = browser.new_context(viewport=PHONE, permissions=["camera"])  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    yield context
    context.close()


@pytest.fixture
def page(phone: BrowserContext) -> Page:
    return phone.pages[0]


@pytest.fixture
def other(browser: Browser) -> Iterator[BrowserContext]:
    """A second phone that nobody has paired yet."""
    context = browser.new_context(viewport=PHONE, permissions=["camera"])  # type: ignore[arg-type]
    yield context
    context.close()
