"""Every screen, sheet and step: axe-core clean, room for a thumb, nothing cut, nothing hidden.

A screen or a sheet that is added and not walked through fails here.
"""

import asyncio
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from api.access.links import make_pairing, owner_of
from api.records.clock import now_ms
from tests.browser import walk
from tests.browser.farm import Farm, Served, nothing
from tests.browser.measuring import Measured
from tests.browser.stocked import stock_up
from tests.browser.walk_state import State
from tests.browser.walker import Walker

SOURCE = Path(__file__).parents[2] / "pwa" / "src"
PARTS = ("SCAN", "PIECE", "CHECK", "STOCK", "CUTS", "DESK", "TRIALS", "PEOPLE", "WAITING")


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    server = Served(tmp_path_factory.mktemp("farm"))
    yield server.start()
    server.stop()


@pytest.fixture(scope="module")
def words(farm: Farm) -> dict[str, str]:
    """What stands for the names in braces."""
    return {
        **stock_up(farm), "piece": farm.piece, "mother": farm.mother, "spare": farm.spare,
        "half": farm.code[:5], "bad": "A" * 22,
    }  # fmt: skip


def context(browser: Browser) -> BrowserContext:
    """What is put in from outside the app's own policy rightly forbids; movement is not wanted."""
    return browser.new_context(
        viewport={"width": 390, "height": 844}, permissions=["camera"], bypass_csp=True,
        reduced_motion="reduce",
    )  # fmt: skip


def signed_in(browser: Browser, farm: Farm) -> Page:
    page = context(browser).new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    return page


@pytest.fixture(scope="module")
def walker(browser: Browser, farm: Farm, words: dict[str, str]) -> Iterator[Walker]:
    page = signed_in(browser, farm)
    page.goto(f"{farm.base}/piece/{words['jelly']}")
    expect(page.get_by_role("button", name="Check")).to_be_visible(timeout=30_000)
    yield Walker(page, farm, words)
    page.context.close()


def walked(walker: Walker, states: tuple[State, ...]) -> dict[str, Any]:
    """What is wrong, by state; what the page itself complains of stands under 'said'."""
    said: list[str] = []
    page = walker.page
    page.on("pageerror", lambda error: said.append(str(error)))
    measured = Measured(page)
    wrong: dict[str, Any] = {}
    for state in states:
        walker.go(state)
        if found := measured.state(state):
            wrong[state.name] = found
    return wrong | ({"said": said} if said else {})


@pytest.mark.parametrize("part", PARTS)
def test_every_state_is_in_order(walker: Walker, part: str) -> None:
    assert walked(walker, getattr(walk, part)) == {}


def test_what_a_stranger_sees_is_in_order(
    browser: Browser, farm: Farm, words: dict[str, str]
) -> None:
    stranger = Walker(context(browser).new_page(), farm, words)
    assert walked(stranger, walk.STRANGER) == {}
    stranger.page.context.close()


def test_a_shared_phone_is_in_order(browser: Browser, farm: Farm, words: dict[str, str]) -> None:
    async def pairing() -> str:
        owner = await owner_of(farm.db)
        async with farm.db.write():
            return (await make_pairing(owner, now_ms(), shared=True))[0]

    token = asyncio.run_coroutine_threadsafe(pairing(), farm.loop).result(20)
    shared = Walker(context(browser).new_page(), farm, words | {"pairing": token})
    assert walked(shared, walk.SHARED) == {}
    shared.page.context.close()


def test_a_new_farm_is_in_order(browser: Browser, tmp_path: Path) -> None:
    server = Served(tmp_path, nothing)
    farm = server.start()
    page = signed_in(browser, farm)
    assert walked(Walker(page, farm), walk.NEW_FARM) == {}
    page.context.close()
    server.stop()


def addresses() -> dict[str, re.Pattern[str]]:
    """The screens' addresses as the app has them, read from its own table."""
    text = (SOURCE / "shell" / "routes.ts").read_text("utf-8")
    [name] = re.findall(r"^const ID = '(.+)'$", text, re.MULTILINE)
    rows = re.findall(r"path: (?:/(.+)/(i?)|new RegExp\(`(.+)`\)), screen: '(.+?)'", text)
    assert len(rows) == text.count("screen: '"), "a row of the table that is not understood here"
    return {
        f"{screen} {plain or made}": re.compile(
            (plain or made).replace("${ID}", name).replace("(?<", "(?P<").replace(r"\/", "/"),
            re.IGNORECASE if flag else 0,
        )
        for plain, flag, made, screen in rows
    }


def test_no_screen_and_no_sheet_is_left_out() -> None:
    paths = {state.path.partition("#")[0] for state in walk.EVERY if state.path}
    unwalked = [
        row for row, path in addresses().items() if not any(path.match(one) for one in paths)
    ]
    assert unwalked == []
    screens = {
        str(file.relative_to(SOURCE).with_suffix("")) for file in SOURCE.glob("*/*Screen.svelte")
    }
    assert screens - {row.split()[0] for row in addresses()} == set()
    sheets = {
        str(file.relative_to(SOURCE).with_suffix("")) for file in SOURCE.glob("*/*.svelte")
        if re.search(r"<Sheet\s", file.read_text("utf-8"))
    }  # fmt: skip
    assert sheets == {state.opens for state in walk.EVERY if state.opens}


FAULTY = """<style>html { background: #fff } .wide { color: #999 }
@media (max-width: 1000px) { .wide { display: none } }</style>
<main><h1 style="font-size: 20px">4JQZ-KDMN</h1>
<p style="font-size: 14px">small</p><p class="wide">pale</p>
<p style="width: 40px; overflow: hidden; white-space: pre">cut off by its box</p>
<p style="width: 120vw">A line of words that is wider than the page that it stands on, whatever</p>
<p style="position: absolute; top: 300px">one</p><p style="position: absolute; top: 302px">two</p>
<button style="position: absolute; top: 400px; width: 40px; height: 40px; border: 1px solid #eee;
  background: #fff">a</button>
<button style="position: absolute; top: 400px; left: 50px; width: 60px; height: 60px">b</button>
<select style="position: absolute; top: 500px; width: 60px"><option>A long entry</option></select>
<div style="position: fixed; inset: 50% 0 0 0; height: 60%"></div></main>
"""


def test_the_measures_see_what_is_wrong(browser: Browser) -> None:
    page = context(browser).new_page()
    page.set_content(FAULTY)
    page.evaluate(
        "document.querySelector('p').animate([{ opacity: 0 }, { opacity: 1 }], { duration: 1e6 })"
    )
    measured = Measured(page)
    found = measured.state(walk.tank(None, "faulty"))
    again = measured.state(walk.tank(None, "faulty"))
    page.context.close()
    seen = {key.removeprefix("390 "): value for key, value in found.items() if "390" in key}
    assert seen["small codes"] == ["4JQZ-KDMN"]
    assert seen["small text"] == ["small: 14.0 px", "a: 13.3 px", "b: 13.3 px"]
    assert seen["cut"][0].startswith("cut off by its box: cut by")
    assert seen["cut"][1].endswith("beyond the page")
    assert seen["overlapping"] == ["one | two"]
    assert seen["edges"] == ["a"]
    assert seen["cutLists"] == ["A long entry: cut in its list"]
    assert seen["targets"][0] == "a 40x40"
    assert "a 40x40 | b 60x60 2 apart" in seen["main targets"]
    assert (len(seen["moving"]), len(seen["sideways"])) == (1, 1)
    assert "html-has-lang" in " ".join(found["320 axe"])
    # What a phone does not show is seen on every wide screen, not on the first alone.
    for wide in (found["1280 axe"], again["1280 axe"]):
        assert [one for one in wide if one.startswith("color-contrast:")] == [
            'color-contrast: <p class="wide">pale</p>'
        ]
    assert found["letters doubled covered"]


def test_own_colours_still_tell_what_is_chosen(walker: Walker) -> None:
    page = walker.page
    page.emulate_media(forced_colors="active")
    walker.go(walk.tank("/check/{piece}", "check", "choose Feeding"))
    marks = """(of) => [...document.querySelectorAll(of)].map((one) => [null, '::after']
      .map((part) => getComputedStyle(one, part))
      .map((is) => [is.borderTopWidth, is.textDecorationLine].join()).join())"""
    tiles = page.evaluate(marks, "fieldset:first-of-type label")
    places = page.evaluate(marks, "nav li:not(.foot) a")
    walker.go(walk.at("/stock", "stock"))
    here = page.evaluate(marks, "nav li:not(.foot) a")
    page.emulate_media(forced_colors="none")
    assert len(set(tiles[:4])) == 2
    assert len(set(places)) == 1
    assert len(set(here)) == 2
