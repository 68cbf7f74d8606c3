"""A state of a screen measured at every width, in both colour schemes and with letters doubled.

48 px with 8 px between, 16 px letters and 28 px codes are the project's own promise, above WCAG
2.2's 24 px (success criterion 2.5.8). No sideways scroll at 320 px is 1.4.10, and what a 640 px
window shows at 200 %; letters alone at 200 % are 1.4.4; 3:1 for edges is 1.4.11; 7:1 for text that
is read in glare is 1.4.6.
"""

from pathlib import Path
from typing import Any

from playwright.sync_api import CDPSession, Page

from tests.browser.walk_state import State

AXE = Path(__file__).parents[2] / "pwa" / "node_modules" / "axe-core" / "axe.min.js"
MEASURES = Path(__file__).with_name("measures.js")
CONTROLS = "a, button, input, select, textarea, summary"
MAIN_CONTROLS = "main button, main input, dialog button, dialog input"
COLOURS = ["color-contrast", "color-contrast-enhanced", "link-in-text-block"]
RUN_AXE = """
async ({ glare, only, rest }) => {
  let within = { exclude: ['[popover]', 'datalist'] }
  const rules = { 'color-contrast-enhanced': { enabled: glare }, 'target-size': { enabled: !rest } }
  if (rest) {
    const { fresh, gone } = measures.changed()
    const include = fresh.filter((one) => !one.closest(within.exclude))
    if (!gone && include.length === 0) return []
    if (!gone) within = { include }
  }
  const asked = only ? { runOnly: only.filter((one) => glare || !one.endsWith('enhanced')) }
                     : { rules }
  // Without what nobody reads: selectors of all that passes take axe as long as its rules.
  const bare = { resultTypes: ['violations'], selectors: false, iframes: false }
  const { violations } = await axe.run(within, { ...asked, ...bare })
  const say = (id) => ({ html }) => `${id}: ${html.slice(0, 160)}`
  return violations.flatMap(({ id, nodes }) => nodes.map(say(id)))
}
"""
RUN_MEASURES = """
({ names, every, main }) => Object.fromEntries([
  ...names.map((name) => [name, measures[name]()]),
  ['small text', measures.small(16)], ['small codes', measures.smallCodes(28)],
  ['targets', measures.targets(every)], ...(main ? [['main targets', measures.targets(main)]] : []),
])
"""
# Drawings that follow the width are drawn anew in the frame after.
DRAWN = """
() => document.querySelector('figure')
  && new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))
"""
FITS = ["sideways", "cut", "cutLists", "overlapping"]
RUN_FITS = "(names) => Object.fromEntries(names.map((name) => [name, measures[name]()]))"
Found = dict[str, list[str]]


def put_in(page: Page) -> None:
    """axe and the measures; they stay until the page is loaded anew."""
    if not page.evaluate("'measures' in window && 'axe' in window"):
        page.evaluate(AXE.read_text("utf-8"))
        page.evaluate(f"(() => {{ {MEASURES.read_text('utf-8')} }})()")


def sideways(page: Page) -> int:
    """Pixels by which the page is wider than the window."""
    return int(page.evaluate("document.documentElement.scrollWidth - innerWidth"))


def violations(page: Page, glare: bool = False) -> list[str]:
    """What axe finds; in glare text needs 7:1."""
    put_in(page)
    return _found(page, glare)


def _found(page: Page, glare: bool, only: list[str] | None = None, rest: bool = False) -> list[str]:
    """`rest`: only of what is shown otherwise than when it was noted; of the whole page again where
    something that was noted is gone. Targets need the most room where they were noted."""
    found: list[str] = page.evaluate(RUN_AXE, {"glare": glare, "only": only, "rest": rest})
    return found


class Measured:
    """One page, state after state."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.chromium: CDPSession = page.context.new_cdp_session(page)
        self.been_wide = False

    def state(self, state: State) -> Found:
        """Everything that is wrong with the state that the page shows now, by where it is wrong.

        The narrowest width is looked at by every rule of axe, the others where they differ from it;
        a wide screen's rail, which is the same on all, once.
        """
        put_in(self.page)
        self._size(390)
        found: Found = self._named("390", self._measures(state))
        self.page.emulate_media(color_scheme="dark")
        found["dark axe"] = _found(self.page, state.glare, COLOURS)
        found["dark edges"] = self.page.evaluate("measures.edges()")
        self.page.emulate_media(color_scheme="light")
        found |= self._named("letters doubled", self._doubled())
        self._size(320)
        found |= self._named("320", self._measures(state))
        found["320 axe"] = _found(self.page, state.glare)
        self.page.evaluate("measures.note()")
        self._size(1280)
        found |= self._named("1280", self._measures(state))
        found["1280 axe"] = _found(self.page, state.glare, rest=self.been_wide)
        self.been_wide = True
        self.page.set_viewport_size({"width": 640, "height": 360})
        found |= self._named("a window of 1280 x 720 at 200 %", self._fits())
        self._size(390)
        found["390 axe"] = _found(self.page, state.glare, rest=True)
        return {key: value for key, value in found.items() if value}

    def _size(self, width: int) -> None:
        size = {"width": width, "height": 844 if width < 900 else 800}
        if self.page.viewport_size == size:
            return
        self.page.set_viewport_size(size)  # type: ignore[arg-type]
        self.page.evaluate(DRAWN)

    def _measures(self, state: State) -> Found:
        main = {"size": 64, "gap": 12, "of": MAIN_CONTROLS}
        asked: dict[str, Any] = {
            "names": [*FITS, "edges", "moving"],
            "every": {"size": 48, "gap": 8, "of": CONTROLS},
            "main": main if state.wet else None,
        }
        found: Found = self.page.evaluate(RUN_MEASURES, asked)
        return found

    def _doubled(self) -> Found:
        """As a phone shows it whose owner asked for letters twice the size."""
        sizes = {"fontSizes": {"standard": 32, "fixed": 26}}
        self.chromium.send("Page.setFontSizes", sizes)
        self.page.evaluate(DRAWN)
        found = self._fits()
        self.chromium.send("Page.setFontSizes", {"fontSizes": {"standard": 16, "fixed": 13}})
        return found

    def _fits(self) -> Found:
        found: Found = self.page.evaluate(RUN_FITS, [*FITS, "covered"])
        return found

    @staticmethod
    def _named(where: str, found: Found) -> Found:
        return {f"{where} {key}": value for key, value in found.items()}
