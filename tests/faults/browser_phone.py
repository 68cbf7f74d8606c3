"""A phone that is the built app in Chromium, driven through its screens."""

from collections import Counter
from pathlib import Path
from typing import Any

from playwright.async_api import Page

from tests.faults.chromium import Chromium
from tests.faults.handsets import Phone
from tests.faults.verdict import Verdict
from tests.faults.world import World

SCRIPT = (Path(__file__).parent / "page.js").read_text("utf-8")
SABOTAGE = (Path(__file__).parent / "sabotage_page.js").read_text("utf-8")
NAME = "in Chromium"


class BrowserPhone(Phone):
    """The app in one profile of Chromium; `page` is the tab that is looked at.

    `told` holds the text of every note of which the page has said that it is saved.
    """

    def __init__(self, world: World) -> None:
        super().__init__(world.handsets, NAME, "")
        self.world, self.told = world, list[str]()
        self.profile = world.folder / f"profile-{world.turn}"
        self.page: Page
        world.phones.append(self)

    async def sign_in(self, browser: Chromium) -> None:
        """The first start: by a link, and until the app is kept for offline use."""
        await self.prepare(browser)
        token = await self.world.call("link", staff=None)
        self.page = await browser.context.new_page()
        await self.page.goto(f"{self.world.gateway.base}/sign-in#{token}")
        await self.page.wait_for_url("**/scan", timeout=30_000)
        await self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        self.device = (await self.page.evaluate("person.phone().then((one) => one.me)"))[
            "device"]["id"]  # fmt: skip

    async def prepare(self, browser: Chromium) -> None:
        """Every page of this run of the browser can be driven and says what it was told."""
        await browser.context.add_init_script(SCRIPT)
        if (kind := self.world.sabotage.page) is not None:
            script = f"globalThis.sabotageKind = '{kind}';{SABOTAGE}"
            await browser.context.add_init_script(script)
        await browser.context.expose_function("toldNote", self._hear)

    async def open(self, browser: Chromium, path: str) -> Page:
        """Another tab of the app."""
        page = await browser.context.new_page()
        await page.goto(self.world.gateway.base + path)
        return page

    async def do(self, order: str, **_more: Any) -> dict[str, Any]:
        assert order == "forget", "the world only forgets a browser; the rest is done on its pages"
        return {}

    async def drain(self) -> str | None:
        paused: str | None = await self.page.evaluate(
            "person.phone().then((one) => one.sync().then(() => one.paused ?? null))"
        )
        return paused

    async def rows(self, store: str) -> list[dict[str, Any]]:
        """A store of the phone's database, read past the app."""
        return list(await self.page.evaluate("(store) => person.rows(store)", store))

    async def outbox(self) -> list[dict[str, Any]]:
        records = {row["id"]: row["record"] for row in await self.rows("records")}
        return [row | {"record": records[row["record"]]} for row in await self.rows("outbox")]

    async def states(self) -> dict[str, Any]:
        return {row["id"]: row["state"] for row in await self.rows("pieces")}

    async def recall(self) -> Verdict:
        """Hold what the pages told against what is on this phone; then it counts as shown.

        A record that was saved before the page could say so is no fault: it is shown by now.
        """
        verdict = Verdict()
        records = [row["record"] for row in await self.rows("records")]
        mine = [record for record in records if record["device"] == self.device]
        texts = Counter(one["body"].get("text") for one in mine if one["kind"] == "note")
        verdict.lost += sum(text not in texts for text in self.told)
        verdict.doubled += sum(count - 1 for text, count in texts.items() if text)
        known = {record["id"] for record in self.shown}
        self.shown += [record for record in mine if record["id"] not in known]
        return verdict

    def _hear(self, text: str, said: str) -> None:
        if said == "saved":
            self.told.append(text)
