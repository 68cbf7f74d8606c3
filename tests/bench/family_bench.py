"""How soon a family of 2,000 pieces stands on a phone: Chromium, four times slower, offline.

Four times slower than a desk computer is what browser tools take for a phone of the middle range
(common practice, no source).
"""

import tempfile
from pathlib import Path
from shutil import which
from statistics import median

from playwright.sync_api import Page, sync_playwright

from tests.bench.measure import Measure
from tests.browser.big_family import BigFamily, big_family
from tests.browser.farm import Served

ROUNDS, SLOWER = 5, 4
OPEN = """
async (path) => {
  const drawn = () => new Promise((done) => {
    const there = () => document.querySelector('[data-member][aria-current=true]')
    const look = () => there() ? requestAnimationFrame(() => done(performance.now()))
                               : requestAnimationFrame(look)
    look()
  })
  history.pushState(null, '', '/more')
  dispatchEvent(new PopStateEvent('popstate'))
  await new Promise((done) => setTimeout(done, 300))
  const start = performance.now()
  history.pushState(null, '', path)
  dispatchEvent(new PopStateEvent('popstate'))
  return (await drawn()) - start
}
"""
SEARCH = """
async (text) => {
  const field = document.querySelector('main input[type=search]')
  const start = performance.now()
  field.value = text
  field.dispatchEvent(new Event('input', { bubbles: true }))
  await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))
  document.querySelector('main form').requestSubmit()
  while (!document.activeElement.dataset.member) await new Promise(requestAnimationFrame)
  return performance.now() - start
}
"""


def measures() -> list[Measure]:
    """Medians: from a tap on the last piece's family to its way being drawn, and of a search."""
    with tempfile.TemporaryDirectory() as folder:
        server = Served(Path(folder))
        farm = server.start()
        try:
            family = big_family(farm)
            opened, found, pieces = _measured(farm.link(), farm.base, family)
        finally:
            server.stop()
    name = f"a family of 2,000, {SLOWER} x slower:"
    return [
        Measure(f"{name} its tree, opened to the last piece", median(opened), None, "ms", "lower"),
        Measure(f"{name} a search that opens a deep piece", median(found), None, "ms", "lower"),
        Measure("pieces of it that are in the page", pieces, None, "of 2001", "lower"),
    ]


def _measured(link: str, base: str, family: BigFamily) -> tuple[list[float], list[float], int]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=which("chromium"))
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, reduced_motion="reduce"
        )
        page = context.new_page()
        page.goto(link)
        page.wait_for_url("**/scan", timeout=30_000)
        page.goto(f"{base}/family/{family.colony}")
        page.get_by_text("has led to 2,000 pieces so far").wait_for(timeout=90_000)
        context.set_offline(True)
        slow = context.new_cdp_session(page)
        slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
        opened, found, pieces = _rounds(page, family)
        browser.close()
    return opened, found, pieces


def _rounds(page: Page, family: BigFamily) -> tuple[list[float], list[float], int]:
    opened, found, pieces = [], [], 0
    for number in range(ROUNDS):
        opened.append(float(page.evaluate(OPEN, f"/family/{family.last}")))
        pieces = int(page.evaluate("document.querySelectorAll('[data-member]').length"))
        sought = family.code(family.pieces[700 + 200 * number])
        found.append(float(page.evaluate(SEARCH, sought)))
    return opened, found, pieces
