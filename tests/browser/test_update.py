"""A newer version of the app: offered, never in the way, and taken by consent in every tab.

The newer build is the same app under other file names, as hashed names change with every build; the
server then has none of the old files, so only what is on the phone can answer for the old page.
"""

import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Response, expect

from api.app import create_app
from api.database import Database
from api.settings import Settings
from api.shell import dist_folder
from tests.browser.conftest import PHONE
from tests.browser.farm import Farm, Served

TEXTS = {".js", ".css", ".html", ".webmanifest"}
NEWER = "A newer version of Nubbin is on this phone."


def newer_build(old: Path, new: Path) -> None:
    """A copy in which every hashed name is another one, and the first page counts as changed."""
    names = {}
    for file in (old / "assets").iterdir():
        stem = file.stem[:-4] + ("aaaa" if file.stem[-4:] != "aaaa" else "bbbb")
        names[file.name] = stem + file.suffix
    pattern = re.compile("|".join(re.escape(name) for name in sorted(names, key=len, reverse=True)))
    for file in (path for path in old.rglob("*") if path.is_file()):
        to = new / file.relative_to(old).parent / names.get(file.name, file.name)
        to.parent.mkdir(parents=True, exist_ok=True)
        if file.suffix not in TEXTS:
            shutil.copy(file, to)
            continue
        text = pattern.sub(lambda found: names[found[0]], file.read_text("utf-8"))
        if file.name == "sw.js":
            text, changed = re.subn(
                r'(url:"index.html",revision:")[0-9a-f]{8}', r"\g<1>0badc0de", text
            )
            assert changed == 1, "the worker's list of files is written in another way now"
        to.write_text(text, "utf-8")


class TwoBuilds(Served):
    """Serves the old build, and after `upgrade` only the newer one."""

    def __init__(self, folder: Path) -> None:
        super().__init__(folder)
        self.newer = folder / "newer"
        newer_build(dist_folder(), self.newer)
        self.upgraded = False

    def upgrade(self) -> None:
        self.upgraded = True

    def app(self, settings: Settings, db: Database) -> Any:
        old, new = create_app(settings, db), create_app(settings, db, dist=self.newer)

        async def either(scope, receive, send):  # type: ignore[no-untyped-def]
            files = scope["type"] == "http" and not scope["path"].startswith("/api/")
            await (new if self.upgraded and files else old)(scope, receive, send)

        return either


@pytest.fixture
def builds(tmp_path: Path) -> Iterator[TwoBuilds]:
    served = TwoBuilds(tmp_path)
    served.start()
    yield served
    served.stop()


@pytest.fixture
def phone(browser: Browser, builds: TwoBuilds) -> Iterator[BrowserContext]:
    assert builds.farm is not None
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(builds.farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    assert page.evaluate("navigator.serviceWorker.controller !== null")
    yield context
    context.close()


def watch(page: Page) -> list[str]:
    """Files that were not answered, or not by what is on the phone; and errors of the page."""
    bad: list[str] = []

    def hear(response: Response) -> None:
        if "/assets/" in response.url and not response.from_service_worker:
            bad.append(f"not from the phone: {response.url}")
        if response.status >= 400 and "/api/" not in response.url:
            bad.append(f"{response.status} {response.url}")

    page.on("response", hear)
    page.on("pageerror", lambda error: bad.append(str(error)))
    return bad


def of_newer_build(page: Page) -> Locator:
    """The script of a page of the newer build."""
    return page.locator('script[src*="aaaa.js"], script[src*="bbbb.js"]')


def look_for_update(page: Page) -> None:
    """As a browser does by itself when a page is opened: until a newer worker waits."""
    page.evaluate("""navigator.serviceWorker.ready.then(async (one) => {
      await one.update()
      while (one.waiting === null) await new Promise((on) => setTimeout(on, 50))
    })""")


def answer(page: Page, farm: Farm, name: str) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    page.get_by_role("radio", name=name).first.click()


def test_a_newer_version_waits_for_the_draft_and_never_for_the_unsent(
    phone: BrowserContext, builds: TwoBuilds
) -> None:
    page, farm = phone.pages[0], builds.farm
    assert farm is not None
    bad = watch(page)
    # Two checks that cannot be sent, and a third one half-made.
    page.route("**/api/sync/push", lambda route: route.abort())
    for name in ("Bud", "Open"):
        answer(page, farm, name)
        page.get_by_role("button", name="Save").click()
        page.wait_for_url("**/scan")
    answer(page, farm, "Feeding")
    builds.upgrade()
    look_for_update(page)
    expect(page.get_by_text(NEWER)).to_have_count(0)
    expect(page.get_by_role("radio", name="Feeding").first).to_be_checked()
    page.get_by_role("button", name="Save").click()
    page.wait_for_url("**/scan")

    # Offered now. The old page's own files, none of which the server still has, are all there.
    expect(page.get_by_text(NEWER)).to_be_visible()
    expect(of_newer_build(page)).to_have_count(0)
    for place, title in (("More", "More"), ("Stock", "Stock"), ("Healing", "Healing")):
        page.get_by_role("link", name=place, exact=True).click()
        expect(page.get_by_role("heading", level=1).first).to_be_visible()
        expect(page).to_have_title(f"{title} · Nubbin")
    page.get_by_role("button", name="Use it now").click()
    expect(of_newer_build(page)).to_have_count(1)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("3 records are kept safely")).to_be_visible()
    page.unroute("**/api/sync/push")
    page.reload()
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    assert len(farm.ask("SELECT id FROM log WHERE kind = 'check'")) == 3
    assert bad == []


def test_a_draft_in_another_tab_is_not_swept_away(phone: BrowserContext, builds: TwoBuilds) -> None:
    page, farm = phone.pages[0], builds.farm
    assert farm is not None
    other = phone.new_page()
    bad = watch(other)
    answer(other, farm, "Feeding")
    page.goto(f"{farm.base}/stock")
    builds.upgrade()
    look_for_update(page)
    page.get_by_role("button", name="Use it now").click()
    expect(page.get_by_text("open in another tab")).to_be_visible()
    expect(other.get_by_role("radio", name="Feeding").first).to_be_checked()
    other.get_by_role("button", name="Save").click()
    other.wait_for_url("**/scan")
    page.get_by_role("button", name="Use it now").click()
    # Both tabs are of the newer version, by the consent given in one.
    for one in (page, other):
        expect(of_newer_build(one)).to_have_count(1)
    assert bad == []
