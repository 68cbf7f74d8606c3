"""Does on a page what the states of the walk say."""

import json
import re
from dataclasses import dataclass, field

from playwright.sync_api import BrowserContext, Locator, Page, Route, expect

from tests.browser.farm import Farm
from tests.browser.pictures import picture, spoil_photos, take
from tests.browser.stocked import hold_something
from tests.browser.walk_state import State


@dataclass
class Walker:
    page: Page
    farm: Farm
    words: dict[str, str] = field(default_factory=dict)

    @property
    def context(self) -> BrowserContext:
        return self.page.context

    def go(self, state: State) -> None:
        if state.path is not None:
            self._open(state.path.format(**self.words))
        for step in state.do:
            verb, _, rest = step.format(**self.words).partition(" ")
            getattr(self, f"do_{verb}")(rest)
        self._settled()
        if state.opens:
            expect(self.page.get_by_role("dialog")).to_be_visible()

    def _open(self, path: str) -> None:
        """Within the app, as a tap would; anew where the last toast still stands in the way."""
        fresh = self.page.get_by_role("button", name="Undo").count() > 0
        if fresh or "#" in path or not self.page.url.startswith(self.farm.base):
            self.page.goto(self.farm.base + path)
            return
        self.page.evaluate(
            """async (path) => {
              for (const to of ['/leaving', path]) {
                history.pushState(null, '', to)
                dispatchEvent(new PopStateEvent('popstate'))
                await new Promise((done) => setTimeout(done))
              }
              scrollTo(0, 0)
            }""",
            path,
        )

    def _settled(self) -> None:
        expect(self.page.locator("main :is(h1, h2)").first).to_be_visible()
        waits = self.page.get_by_text(re.compile("^(Opening|Fetching|Asking the server|Reading)"))
        expect(waits).to_have_count(0)
        nowhere = self.page.url.endswith("/nowhere")
        assert (self.page.title() == "No such page · Nubbin") == nowhere, self.page.url

    @property
    def within(self) -> Locator:
        """An open sheet, else the screen."""
        sheet = self.page.locator("dialog[open]")
        return sheet if sheet.count() else self.page.locator("main")

    def do_press(self, name: str) -> None:
        exact = re.compile(rf"^{re.escape(name)}( |$|:)")
        self.within.get_by_role("button", name=exact).or_(
            self.within.get_by_role("button", name=re.compile(re.escape(name)))
        ).first.click()

    def do_choose(self, name: str) -> None:
        self.within.get_by_role("radio", name=re.compile(f"^{name}")).last.check()

    def do_tick(self, name: str) -> None:
        self.within.get_by_role("checkbox", name=name).check()

    def do_write(self, text: str) -> None:
        label, _, value = text.partition("=")
        self.within.get_by_role("textbox", name=label).or_(
            self.within.get_by_role("searchbox", name=label)
        ).fill(value)

    def do_pick(self, text: str) -> None:
        label, _, value = text.partition("=")
        named = re.compile(f"^{re.escape(label)}")
        self.within.get_by_role("combobox", name=named).select_option(label=value)

    def do_open(self, summary: str) -> None:
        self.within.locator("summary", has_text=summary).click()

    def do_see(self, text: str) -> None:
        expect(self.page.get_by_text(text).first).to_be_visible(timeout=15_000)

    def do_photograph(self, red: str) -> None:
        take(self.page, picture((int(red), 90, 60), (400, 300)))

    def do_hold(self, _: str) -> None:
        hold_something(self.page, self.farm)
        self._open("/held")

    def do_cut(self, _: str) -> None:
        self.context.set_offline(True)

    def do_connect(self, _: str) -> None:
        self.context.set_offline(False)

    def do_spoil(self, _: str) -> None:
        """On their way to the server record and photo become such as no server takes."""
        spoil_photos(self.context)

        def spoil(route: Route) -> None:
            batch = json.loads(route.request.post_data or "{}")
            for record in batch["records"]:
                if record["kind"] == "check":
                    record["body"]["mouth"] = "wide"
            route.continue_(post_data=json.dumps(batch))

        self.context.route("**/api/sync/push", spoil)
