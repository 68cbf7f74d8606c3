"""Every screen on a narrow phone: nothing to scroll sideways, room for a thumb, axe-core clean.

48 px with 8 px between is the project's own promise, above WCAG 2.2's 24 px (success criterion
2.5.8); links inside a sentence are exempt there and here. No sideways scroll at 320 px is success
criterion 1.4.10 (reflow).
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect

from tests.browser.farm import Farm, Served

AXE = Path(__file__).parents[2] / "pwa" / "node_modules" / "axe-core" / "axe.min.js"
SCREENS = {
    "/scan": "Scan",
    "/piece/{piece}": "Piece",
    "/piece/{mother}": "Piece",
    "/check/{piece}": "Check",
    "/stock": "Stock",
    "/cuts": "Cuts",
    "/healing": "Healing",
    "/labels": "Labels",
    "/setup": "Setup",
    "/waiting": "Waiting to be sent",
    "/sign-in": "Sign in",
    "/more": "More",
    "/nowhere": "No such page",
}
MAIN_CONTROLS = {"/scan": "main button, main input", "/check/{piece}": "main label, main button"}

# Centres of neighbours must be so far apart that two targets of `size` with `gap` between fit.
TARGETS = """
({size, gap, of}) => {
  const seen = [...document.querySelectorAll(of)]
    .filter((one) => getComputedStyle(one).display !== 'inline' || one.tagName !== 'A')
    .map((one) => ({ one, box: (one.closest('label') ?? one).getBoundingClientRect() }))
    .filter(({ one, box }) => box.width > 1 && box.height > 1 && one.checkVisibility())
    .filter(({ one }) => !one.matches('.skip') && !one.closest('dialog:not([open])'))
  const name = (one) => (one.closest('label') ?? one).textContent.trim() || one.tagName
  const say = ({ one, box }) => `${name(one)} ${Math.round(box.width)}x${Math.round(box.height)}`
  const wrong = seen.filter(({ box }) => box.height < size - 0.5 || box.width < 47.5).map(say)
  for (const [index, a] of seen.entries()) for (const b of seen.slice(index + 1)) {
    if ((a.one.closest('label') ?? a.one) === (b.one.closest('label') ?? b.one)) continue
    if (!!a.one.closest('.thumb, nav') !== !!b.one.closest('.thumb, nav')) continue
    const across = Math.max(a.box.left, b.box.left) - Math.min(a.box.right, b.box.right)
    const down = Math.max(a.box.top, b.box.top) - Math.min(a.box.bottom, b.box.bottom)
    const room = across > down ? [across, (a.box.width + b.box.width) / 2, 48]
                               : [down, (a.box.height + b.box.height) / 2, size]
    if (room[0] < gap - 0.5 && room[0] + room[1] < room[2] + gap - 0.5)
      wrong.push(`${say(a)} | ${say(b)} ${Math.round(room[0])} apart`)
  }
  return [...new Set(wrong)]
}
"""


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    """One farm for all screens: they only look."""
    server = Served(tmp_path_factory.mktemp("farm"))
    yield server.start()
    server.stop()


@pytest.fixture(scope="module")
def phone(browser: Browser, farm: Farm) -> Iterator[BrowserContext]:
    """axe-core is put into the page from outside, which the app's own policy rightly forbids."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, permissions=["camera"], bypass_csp=True
    )
    page = context.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_role("button", name="Check")).to_be_visible(timeout=30_000)
    yield context
    context.close()


def opened(page: Page, farm: Farm, path: str) -> None:
    page.goto(farm.base + path.format(piece=farm.piece, mother=farm.mother))
    expect(page.locator("main :is(h1, h2)").first).to_be_visible()
    expect(page.get_by_text("Opening…").or_(page.get_by_text("Fetching…"))).to_have_count(0)


def sideways(page: Page) -> int:
    return int(page.evaluate("document.documentElement.scrollWidth - innerWidth"))


def violations(page: Page) -> list[str]:
    page.evaluate(AXE.read_text("utf-8"))
    found: list[dict[str, Any]] = page.evaluate("axe.run().then((r) => r.violations)")
    return [f"{one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]


@pytest.mark.parametrize("path", SCREENS)
def test_screen_on_a_phone(phone: BrowserContext, farm: Farm, path: str) -> None:
    page = phone.pages[0]
    said: list[str] = []

    def hear(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning"):
            said.append(message.text)

    page.on("console", hear)
    page.on("pageerror", lambda error: said.append(str(error)))
    every = {"size": 48, "gap": 8, "of": "a, button, input, select, textarea, summary"}
    found: dict[str, object] = {}
    for width in (390, 320):
        page.set_viewport_size({"width": width, "height": 844})
        opened(page, farm, path)
        found[f"sideways {width}"] = sideways(page)
        found[f"targets {width}"] = page.evaluate(TARGETS, every)
        if path in MAIN_CONTROLS:
            main = {"size": 64, "gap": 12, "of": MAIN_CONTROLS[path]}
            found[f"main controls {width}"] = page.evaluate(TARGETS, main)
    found["axe"] = violations(page)
    assert {key: value for key, value in found.items() if value} == {}
    assert re.fullmatch(rf"{SCREENS[path]} · Nubbin", page.title())
    assert said == []


@pytest.mark.parametrize("scheme", ["dark", "light"])
def test_wide_screens_pass_axe(phone: BrowserContext, farm: Farm, scheme: Any) -> None:
    page = phone.pages[0]
    page.set_viewport_size({"width": 1280, "height": 800})
    page.emulate_media(color_scheme=scheme)
    wrong: dict[str, object] = {}
    for path in SCREENS:
        opened(page, farm, path)
        if found := violations(page):
            wrong[path] = found
        assert sideways(page) == 0, path
    assert wrong == {}
