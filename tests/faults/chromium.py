"""A real Chromium with a profile of its own on the disk, which can be killed at any moment."""

import asyncio
import os
import shutil
import signal
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from playwright.async_api import Browser, BrowserContext, Playwright, async_playwright

from tests.faults.site import Broken

ARGUMENTS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-background-networking",
    "--no-first-run", "--remote-debugging-port=0", "--window-size=390,844",
    "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream=fps=1",
    "--disable-features=Translate,OptimizationHints,MediaRouter", "--mute-audio",
    "--disable-background-timer-throttling", "--disable-renderer-backgrounding",
    "--disable-backgrounding-occluded-windows", "--no-default-browser-check",
)  # fmt: skip
NONE = "No Chromium was found (Debian: apt-get install chromium)"


def find(playwright: Playwright) -> str:
    """The system's Chromium, else Playwright's own."""
    names = ("chromium", "chromium-browser", "google-chrome")
    own = next((found for name in names if (found := shutil.which(name))), None)
    path = own or playwright.chromium.executable_path
    if not Path(path).exists():
        raise Broken(NONE)
    return path


class Chromium:
    """One run of the browser on a profile. `kill` is kill -9 of all its processes at once."""

    def __init__(self, process: asyncio.subprocess.Process, browser: Browser) -> None:
        self.process, self.browser = process, browser
        self.context: BrowserContext = browser.contexts[0]

    async def leave(self) -> None:
        """Closed as a person closes it: cookies, too, are on the disk then."""
        session = await self.browser.new_browser_cdp_session()
        await session.send("Browser.close")
        await self.process.wait()
        await self.browser.close()

    async def kill(self) -> None:
        os.killpg(self.process.pid, signal.SIGKILL)
        await self.process.wait()
        await self.browser.close()


@asynccontextmanager
async def chromium(playwright: Playwright, profile: Path, *more: str) -> AsyncIterator[Chromium]:
    """Start on a profile, new or left behind by an earlier run; killed at the end in any case.

    `more` are arguments after the usual ones, such as a film for its camera.
    """
    (profile / "DevToolsActivePort").unlink(missing_ok=True)
    profile.mkdir(exist_ok=True)
    process = await asyncio.create_subprocess_exec(
        find(playwright), *ARGUMENTS, *more, f"--user-data-dir={profile}", "about:blank",
        stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
        start_new_session=True,
    )  # fmt: skip
    started = None
    try:
        browser = await playwright.chromium.connect_over_cdp(await _address(profile))
        started = Chromium(process, browser)
        yield started
    finally:
        if process.returncode is None:
            os.killpg(process.pid, signal.SIGKILL)
            await process.wait()
        if started is not None:
            await started.browser.close()


async def _address(profile: Path) -> str:
    told = profile / "DevToolsActivePort"
    for _ in range(600):
        if told.exists() and len(lines := told.read_text("utf-8").split()) == 2:
            return f"ws://127.0.0.1:{lines[0]}{lines[1]}"
        await asyncio.sleep(0.05)
    raise Broken("Chromium did not start within 30 seconds")


@asynccontextmanager
async def driver() -> AsyncIterator[Playwright]:
    async with async_playwright() as playwright:
        yield playwright
