"""All of it by keyboard: the main job, sheets, undo; the focus is always seen and never caught."""

import json
import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from labels import display
from tests.browser import walk
from tests.browser.farm import WIDE, Farm, Served
from tests.browser.measuring import put_in
from tests.browser.stocked import stock_up
from tests.browser.walker import Walker

# Nobody presses a key in the very frame in which a screen is first drawn.
FRAMES = "() => new Promise((d) => requestAnimationFrame(() => requestAnimationFrame(() => d())))"
MOST = 150
"""Stops of the Tab key after which a screen counts as a trap."""


def focus(page: Page) -> str | None:
    """The name of what has the focus; fails where that is not to be seen."""
    put_in(page)
    found = page.evaluate("measures.focused()")
    assert found["wrong"] == [], page.url
    at: str | None = found["at"]
    return at


def tab_to(page: Page, name: str, key: str = "Tab") -> None:
    for _ in range(MOST):
        page.keyboard.press(key)
        if re.match(name, focus(page) or ""):
            return
    raise AssertionError(f"{name} is not reached by {key} on {page.url}")


def records(farm: Farm) -> list[tuple[str, object]]:
    rows = farm.ask("SELECT record FROM log WHERE kind IN ('check', 'retract') ORDER BY seq")
    return [(one["kind"], one["body"]) for row in rows if (one := json.loads(row["record"]))]


def check_by_keys(page: Page, farm: Farm) -> None:
    """From the code field to a saved check without touching anything but keys."""
    tab_to(page, "input")
    page.keyboard.type(display(farm.code).lower(), delay=100)
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/piece/{farm.piece}")
    expect(page.locator("main")).to_be_focused()
    expect(page.get_by_role("link", name=display(WIDE[0]))).to_be_visible()
    page.evaluate(FRAMES)
    tab_to(page, "Check$")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/check/{farm.piece}")
    tab_to(page, "None")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    expect(page.get_by_role("radio", name="Open")).to_be_checked()
    tab_to(page, "None")
    page.keyboard.press("Space")
    # A second press takes it back: what was not looked at stays empty.
    page.keyboard.press("Space")
    tab_to(page, "Save")
    page.keyboard.press("Enter")
    page.wait_for_url("**/scan")
    expect(page.get_by_text(re.compile("^Saved: "))).to_be_visible()


def test_the_main_job_and_its_undo_by_keys_alone(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/scan")
    expect(page.get_by_role("heading", name="Scan")).to_be_visible()
    page.keyboard.press("Tab")
    assert focus(page) == "Skip to the screen"
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_be_focused()
    check_by_keys(page, farm)
    # One step back from the beginning of the screen, within the ten seconds.
    expect(page.locator("main")).to_be_focused()
    page.keyboard.press("Shift+Tab")
    assert focus(page) == "Undo"
    page.keyboard.press("Enter")
    expect(page.get_by_text("Undone. The check counts for nothing.")).to_be_visible()
    check_by_keys(page, farm)
    page.keyboard.press("Control+z")
    expect(page.get_by_text("Undone. The check counts for nothing.")).to_be_visible()
    # A field undoes its own typing, and the check stays.
    check_by_keys(page, farm)
    page.get_by_label("Code on the label").focus()
    page.keyboard.type("4J", delay=100)
    page.keyboard.press("Control+z")
    expect(page.get_by_role("button", name="Undo")).to_be_visible()
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    looked = ("check", {"found": "typed", "mouth": "open"})
    back = ("retract", {"why": "undone at once"})
    assert records(farm) == [looked, back, looked, back, looked]


@pytest.fixture(scope="module")
def walker(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Walker]:
    server = Served(tmp_path_factory.mktemp("walk"))
    farm = server.start()
    words = {**stock_up(farm), "piece": farm.piece, "mother": farm.mother, "spare": farm.spare,
             "half": farm.code[:5]}  # fmt: skip
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, permissions=["camera"], bypass_csp=True
    )
    page = context.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    page.goto(f"{farm.base}/piece/{words['jelly']}")
    expect(page.get_by_role("button", name="Check")).to_be_visible(timeout=30_000)
    yield Walker(page, farm, words)
    context.close()
    server.stop()


def test_sheets_give_the_focus_back(walker: Walker) -> None:
    page, farm = walker.page, walker.farm
    page.goto(f"{farm.base}/piece/{farm.piece}")
    for name in ("Ready", "Lost", "Move", "More"):
        opener = page.get_by_role("group").get_by_role("button", name=name)
        opener.focus()
        page.keyboard.press("Enter")
        sheet = page.get_by_role("dialog")
        expect(sheet.get_by_role("heading", level=2).first).to_be_focused()
        page.keyboard.press("Escape")
        expect(sheet).to_be_hidden()
        expect(opener).to_be_focused()
    # From a sheet to the next one and out of it: back where it all began.
    page.keyboard.press("Enter")
    tab_to(page, "All its records")
    page.keyboard.press("Enter")
    tab_to(page, "Take back")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Take a record back")).to_be_focused()
    page.keyboard.press("Escape")
    expect(page.get_by_role("dialog")).to_be_hidden()
    expect(page.get_by_role("button", name="More")).to_be_focused()
    page.get_by_role("button", name="Ready").focus()
    page.keyboard.press("Enter")
    tab_to(page, "For sale")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Ready")).to_be_focused()
    expect(page.get_by_text("Saved: ready.")).to_be_visible()
    page.keyboard.press("Control+z")
    expect(page.get_by_text("Taken back.")).to_be_visible()


def test_a_sheet_made_for_one_entry_gives_it_back_too(walker: Walker) -> None:
    page, farm = walker.page, walker.farm
    page.goto(f"{farm.base}/setup")
    for opener in (
        page.get_by_role("button", name="Add to species"),
        page.get_by_role("button", name="Change: Lobophyllia hemprichii"),
    ):
        opener.focus()
        page.keyboard.press("Enter")
        expect(page.get_by_role("dialog")).to_be_visible()
        page.keyboard.press("Escape")
        expect(opener).to_be_focused()
    page.goto(f"{farm.base}/people")
    opener = page.get_by_role("button", name="Add a person")
    opener.focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    expect(opener).to_be_focused()


def test_steps_at_one_address_take_the_focus_along(walker: Walker) -> None:
    page, farm = walker.page, walker.farm
    page.goto(f"{farm.base}/cuts")
    tab_to(page, "Start at the saw")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="A sitting at the saw")).to_be_visible()
    expect(page.locator("main")).to_be_focused()
    tab_to(page, "Open the sitting")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Mother")).to_be_visible()
    expect(page.locator("main")).to_be_focused()
    assert page.evaluate("scrollY") == 0
    tab_to(page, "End the sitting")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Cuts", exact=True)).to_be_visible()


@pytest.mark.parametrize(
    "part", ["SCAN", "PIECE", "CHECK", "STOCK", "CUTS", "DESK", "TRIALS", "PEOPLE"]
)
def test_the_tab_key_reaches_everything_and_leaves_again(walker: Walker, part: str) -> None:
    page = walker.page
    wrong: dict[str, object] = {}
    for state in getattr(walk, part):
        walker.go(state)
        # What waits goes out, and its place in the bar with it.
        expect(page.locator("nav .foot")).to_have_count(0, timeout=15_000)
        put_in(page)
        page.evaluate("for (const one of document.querySelectorAll('[data-visited]')) "
                      "delete one.dataset.visited")  # fmt: skip
        page.evaluate("(document.querySelector('dialog[open] h2') "
                      "?? document.querySelector('.skip')).focus()")  # fmt: skip
        first = page.evaluate("measures.focused()")["where"]
        faults: list[str] = []
        for stop in range(MOST):
            page.keyboard.press("Tab")
            found = page.evaluate("measures.focused()")
            faults += found["wrong"]
            if stop and found["where"] in (None, first):
                break
        else:
            faults.append("the Tab key never left it")
        faults += [f"{name}: not reached" for name in page.evaluate("measures.unvisited()")]
        if faults:
            wrong[state.name] = faults
    assert wrong == {}
