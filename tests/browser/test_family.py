"""Families: a line of 2,000 pieces stays legible, and what records leave unclear is said."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from labels import display
from tests.browser.big_family import CUTS, PIECES, BigFamily, big_family, place_of
from tests.browser.conftest import PHONE
from tests.browser.farm import Farm, Served
from tests.browser.measuring import sideways

DRAWN = "document.querySelectorAll('[data-member]').length"
"""How many pieces of a tree are in the page at all."""


@dataclass
class Line:
    """A phone that holds the whole line and is offline from then on."""

    page: Page
    farm: Farm
    family: BigFamily

    def open(self, piece: str) -> None:
        self.page.goto(f"{self.farm.base}/family/{piece}")
        expect(self.page.get_by_role("heading", name="The family of Driftwood")).to_be_visible()

    def link(self, piece: str) -> Locator:
        return self.page.locator(f"[data-member='{piece}']")

    def toggle(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=re.compile(f"^{name}"), expanded=None)

    def find(self, text: str) -> None:
        self.page.get_by_label("Find in the family").fill(text)


@pytest.fixture(scope="module")
def line(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Line]:
    server = Served(tmp_path_factory.mktemp("line"))
    farm = server.start()
    family = big_family(farm)
    context = browser.new_context(viewport=PHONE)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(f"{farm.base}/family/{family.colony}")
    whole = page.get_by_text("has led to 2,000 pieces so far")
    expect(whole).to_be_visible(timeout=90_000)
    expect(page.get_by_text("The farm’s records are still being fetched")).to_have_count(0)
    context.set_offline(True)
    yield Line(page, farm, family)
    context.close()
    server.stop()


def test_two_thousand_pieces_are_told_in_one_sentence_and_six_lines(line: Line) -> None:
    assert (PIECES, CUTS, sum(line.family.fates.values())) == (2000, 116, 2000)
    line.open(line.family.colony)
    fates = line.family.fates
    told = ", ".join(f"{fates[fate]} {fate}" for fate in ("healing", "ready", "lost", "gone"))
    name = display(line.family.code(line.family.colony))
    led = f"{name} has led to 2,000 pieces so far, over 4 generations, in 116 cuts."
    expect(line.page.get_by_text(f"{led} Of these, {told}.")).to_be_visible()
    # Of the tree itself: the colony, what opens her, and her six cuts, each with its counts.
    assert line.page.evaluate(DRAWN) == 1
    heads = line.page.locator("main button[aria-expanded]")
    expect(heads).to_have_count(7)
    expect(heads.first).to_have_text(re.compile(rf"6 cuts, 2,000 pieces in all\s*{told}"))
    expect(heads.nth(6)).to_have_text(re.compile(r"Band saw\s*10 pieces: \d+ healing, "))


def test_the_way_down_to_the_piece_one_came_from_is_open_and_marked(line: Line) -> None:
    line.open(line.family.last)
    here = line.link(line.family.last)
    expect(here).to_be_visible()
    expect(here).to_have_attribute("aria-current", "true")
    expect(line.page.get_by_text("You came from here.")).to_have_count(1)
    expect(line.page.get_by_text("4: 4 added to a colony that counts as 0")).to_be_visible()
    mothers = line.page.locator("dd a")
    expect(mothers).to_have_count(4)
    for at in range(4):
        target = str(mothers.nth(at).get_attribute("href")).rsplit("/", 1)[1]
        expect(line.link(target)).to_have_count(1)
    assert line.page.evaluate(DRAWN) < 60
    line.page.set_viewport_size({"width": 320, "height": 640})
    assert sideways(line.page) == 0
    line.page.set_viewport_size(PHONE)  # type: ignore[arg-type]


def test_a_search_opens_what_it_finds_however_deep_it_lies(line: Line) -> None:
    line.open(line.family.colony)
    sought = line.family.pieces[1500]
    expect(line.link(sought)).to_have_count(0)
    line.find(display(line.family.code(sought)).lower())
    expect(line.page.get_by_text("1 found")).to_be_visible()
    line.page.get_by_role("button", name="Show the first").click()
    expect(line.link(sought)).to_be_focused()
    expect(line.link(sought)).to_be_in_viewport()
    expect(line.page.get_by_text("Found.", exact=True)).to_have_count(1)
    assert line.page.evaluate(DRAWN) < 60


@pytest.mark.parametrize("text", ["cut number 3", "b7", "a1 b7", "driftwood"])
def test_it_finds_by_cut_number_place_tray_and_line(line: Line, text: str) -> None:
    b7 = sum(place_of(number) == "B7" for number in range(1, PIECES + 1))
    count = {"cut number 3": 800, "b7": b7, "a1 b7": b7, "driftwood": 2001}[text]
    line.open(line.family.colony)
    line.find(text)
    expect(line.page.get_by_text(f"{count:,} found")).to_be_visible()
    line.page.get_by_role("button", name="Show the first").click()
    expect(line.page.get_by_text(f"Found, 1 of {count:,}.")).to_be_visible()
    first = line.page.evaluate("document.activeElement.dataset.member")
    line.page.get_by_role("button", name="Next one found").click()
    expect(line.page.get_by_text(f"Found, 2 of {count:,}.")).to_be_visible()
    assert line.page.evaluate("document.activeElement.dataset.member") not in (first, None)
    line.find("nothing of the kind")
    expect(line.page.get_by_text("Nothing here fits “nothing of the kind”.")).to_be_visible()


def test_arrow_keys_open_close_and_go_from_one_to_the_next(line: Line) -> None:
    line.open(line.family.colony)
    press, heads = line.page.keyboard.press, line.page.locator("main button[aria-expanded]")
    heads.nth(1).focus()
    press("ArrowRight")
    expect(heads.nth(1)).to_have_attribute("aria-expanded", "true")
    expect(heads.nth(1)).to_be_focused()
    press("ArrowRight")
    expect(heads.nth(2)).to_be_focused()
    press("ArrowLeft")
    expect(heads.nth(1)).to_be_focused()
    press("ArrowLeft")
    expect(heads.nth(1)).to_have_attribute("aria-expanded", "false")
    press("End")
    expect(heads.last).to_be_focused()
    press("ArrowUp")
    expect(heads.nth(5)).to_be_focused()
    press("ArrowDown")
    press("Home")
    expect(heads.first).to_be_focused()


def test_yields_of_the_line_and_of_each_mother(line: Line) -> None:
    line.open(line.family.colony)
    name = display(line.family.code(line.family.colony))
    first = line.page.get_by_role("row", name=re.compile(f"^{name}"))
    cells = first.get_by_role("cell").all_inner_texts()
    assert [cells[0], cells[1], cells[2], cells[9]] == ["6", "60", "10", "2,000"]
    assert sum(int(cell) for cell in cells[3:7]) == 60
    # 30 days by the farm's own calendar; its clocks change in between and its days do not.
    assert cells[8] == "30"
    told = f"{name}: 6 cuts, 60 pieces: 10 a cut, from 10 to 10."
    days = "Between the cuts of a mother lay 30 days each time."
    expect(line.page.get_by_text(f"{told} {days}")).to_be_visible()
    rows = line.page.get_by_role("table").get_by_role("row")
    expect(rows).to_have_count(13)
    line.page.get_by_role("button", name="Show 24 more").click()
    expect(rows).to_have_count(37)


def test_from_the_stock_by_way_of_the_lines_to_a_piece_and_its_family(line: Line) -> None:
    page = line.page
    page.goto(f"{line.farm.base}/stock")
    page.get_by_role("link", name="Lines and families").click()
    expect(page.get_by_role("heading", name="Driftwood 2,001 pieces")).to_be_visible()
    said = "Driftwood: 116 cuts, 2,000 pieces: 17.2 a cut, from 10 to 22."
    expect(page.get_by_text(said)).to_be_visible()
    name = display(line.family.code(line.family.colony))
    page.get_by_role("link", name=f"Family of {name}").click()
    line.link(line.family.colony).click()
    page.get_by_role("link", name="Its family, from the colony down").click()
    page.wait_for_url(f"**/family/{line.family.colony}")
