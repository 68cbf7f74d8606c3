"""The farm's lists: changed by a lead, looked at by anybody, offline; what rules propose."""

import asyncio
import re
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Locator, Page, expect

from api.records.clock import now_ms
from tests.browser.farm import Farm, ago
from tests.browser.people import fetched, in_ruis_hand
from tests.sync.phone import Phone, fates

LOBO = "Lobophyllia hemprichii"


def lists(page: Page, farm: Farm, name: str) -> None:
    page.goto(f"{farm.base}/setup")
    page.get_by_label("List", exact=True).select_option(label=name)


def sheet(page: Page, farm: Farm, name: str, entry: str) -> Locator:
    lists(page, farm, name)
    page.get_by_role("button", name=f"Change: {entry}").click()
    return page.get_by_role("dialog")


def pick(within: Locator, group: str, answer: str) -> None:
    within.get_by_role("radiogroup", name=group).get_by_role("radio", name=answer).check()


def save(page: Page, name: str, button: str = "Save") -> None:
    page.get_by_role("dialog").get_by_role("button", name=button, exact=True).click()
    expect(page.get_by_text(f"Saved: {name}.")).to_be_visible()
    expect(page.get_by_role("dialog")).to_have_count(0)


def give_a_rule(page: Page, farm: Farm) -> None:
    """For sale: mouth open, half covered, twice in a row."""
    form = sheet(page, farm, "Species", LOBO)
    form.locator("summary", has_text="For sale: nothing is proposed").click()
    rule = form.locator("details[open]")
    pick(rule, "Mouth, at least", "Open")
    pick(rule, "Base covered, at least", "Half")
    rule.get_by_label("Algae").check()
    rule.get_by_label("Checks in a row").fill("2")
    said = "For sale: mouth open, half covered, without algae, twice in a row"
    expect(rule.locator("summary")).to_have_text(said)
    save(page, LOBO)


def check(page: Page, farm: Farm, mouth: str, covered: str) -> None:
    page.goto(f"{farm.base}/check/{farm.piece}")
    pick(page.locator("main"), "Mouths", f"{mouth}")
    pick(page.locator("main"), "Base covered", covered)
    page.get_by_role("button", name="Save", exact=True).click()


def all_sent(page: Page, farm: Farm) -> None:
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Nothing waits on this phone")).to_be_visible(timeout=30_000)


def ready(farm: Farm) -> list[dict[str, Any]]:
    return farm.ask("SELECT record FROM log WHERE kind = 'ready'")


def test_a_rule_proposes_once_and_a_person_decides(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    lab, now = Phone("lab", 21), now_ms()
    looked = lab.check(farm.piece, ago(now, 9), mouth="open", encrustation=2)
    pushed = asyncio.run_coroutine_threadsafe(lab.push(farm.db, [looked], now), farm.loop)
    assert fates(pushed.result(20)) == ["stored"]
    fetched(page, farm)
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("mouth open, half covered").first).to_be_visible(timeout=30_000)
    phone.set_offline(True)
    give_a_rule(page, farm)
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("For sale: first of 2 checks in a row.")).to_be_visible()
    check(page, farm, "Open", "A quarter")
    page.wait_for_url("**/scan")
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("For sale: base covered a quarter; asked: half.")).to_be_visible()
    # Looked at again on the same visit, more closely: with it the second look in a row.
    check(page, farm, "Open", "Half")
    meets = page.get_by_text("Meets the farm’s rule for sale: mouth open, half covered")
    expect(meets).to_be_visible()
    page.get_by_role("button", name="Mark it ready for sale", exact=True).click()
    dialog = page.get_by_role("dialog")
    expect(dialog.get_by_text("The farm’s rule proposes this one.")).to_be_visible()
    # Only proposed so far: nothing is recorded by itself, and cancelling leaves it so.
    dialog.get_by_role("button", name="Cancel").click()
    expect(meets).to_be_visible()
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(meets).to_be_visible()
    page.get_by_role("button", name="Mark it ready for sale", exact=True).click()
    dialog.get_by_role("button", name="For sale").click()
    expect(page.get_by_text("Saved: ready.")).to_be_visible()
    expect(meets).to_have_count(0)
    # Of one that is ready it is never asked again.
    check(page, farm, "Open", "All")
    page.wait_for_url("**/scan")
    phone.set_offline(False)
    all_sent(page, farm)
    assert len(ready(farm)) == 1


def test_an_entry_tells_its_history_and_a_change_can_be_taken_back(
    phone: BrowserContext, page: Page, farm: Farm
) -> None:
    fetched(page, farm)
    phone.set_offline(True)
    form = sheet(page, farm, "Species", LOBO)
    form.get_by_label("Check every … days").fill("10")
    save(page, LOBO)
    form = sheet(page, farm, "Species", LOBO)
    expect(form.get_by_text("2 pieces, 2 pieces still here.")).to_be_visible()
    form.locator("summary", has_text="What was changed, and by whom").click()
    lines = form.locator("ol > li")
    expect(lines).to_have_count(2)
    expect(lines.first).to_contain_text("Check every … days: 10")
    expect(lines.first).to_contain_text("Owner")
    expect(lines.first).to_contain_text("not sent yet")
    expect(lines.last).to_contain_text("Added")
    expect(lines.last.get_by_role("button")).to_have_count(0)
    lines.first.get_by_role("button", name="Take back").click()
    lines.first.get_by_role("button", name="Take it back").click()
    expect(lines.first.get_by_text("Say why first")).to_be_visible()
    lines.first.get_by_label("Why?").fill("too seldom")
    lines.first.get_by_role("button", name="Take it back").click()
    expect(lines.first).to_contain_text(re.compile("Taken back by .+: too seldom"))
    expect(form.get_by_label("Check every … days")).to_have_value("")


def test_what_is_retired_is_offered_nowhere_new_and_named_everywhere_old(
    page: Page, farm: Farm
) -> None:
    fetched(page, farm)
    form = sheet(page, farm, "Trays", "A1")
    form.get_by_role("button", name="Do not offer it any more").click()
    expect(form.get_by_role("alert")).to_contain_text("1 piece stands in this tray.")
    expect(form.get_by_role("alert")).to_contain_text("Tap once more to go on.")
    save(page, "A1", "Do not offer it all the same")
    expect(page.get_by_text("20 × 20 places")).to_be_visible()
    expect(page.get_by_text("not offered")).to_be_visible()
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("A1, B7")).to_be_visible()
    page.get_by_role("button", name="Move", exact=True).click()
    move = page.get_by_role("dialog")
    expect(move.get_by_text("Stands at A1, B7")).to_be_visible()
    expect(move.get_by_role("option", name="A1")).to_have_count(0)
    form = sheet(page, farm, "Trays", "A1")
    save(page, "A1", "Offer it again")
    expect(page.get_by_text("not offered")).to_have_count(0)


def test_a_tray_made_smaller_says_what_stands_beyond_and_loses_nothing(
    page: Page, farm: Farm
) -> None:
    fetched(page, farm)
    form = sheet(page, farm, "Trays", "A1")
    form.get_by_label("Rows").fill("6")
    form.get_by_role("button", name="Save", exact=True).click()
    expect(form.get_by_role("alert")).to_contain_text("1 piece stands beyond T6: B7.")
    save(page, "A1", "Save all the same")
    page.goto(f"{farm.base}/piece/{farm.piece}")
    expect(page.get_by_text("A1, B7")).to_be_visible()
    page.goto(f"{farm.base}/tray/tray.a1")
    expect(page.get_by_role("link", name=re.compile("B7|WWWW")).first).to_be_visible()


def test_a_base_kind_says_where_its_label_sits_and_what_to_expect(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    form = sheet(page, farm, "Base kinds", "Hexagonal tile 40 mm")
    for answer, expected in (
        ("Stem", "lifted out of its hole"), ("Rim", "edge to edge hide it"),
        ("Reserved corner", "overgrown exactly when a piece has done well"),
        ("Flag", "collects film and it breaks"), ("Tray only", "never move a piece without"),
        ("Underside", "must be lifted to be read"),
    ):  # fmt: skip
        pick(form, "Where its label sits", answer)
        expect(form.get_by_text(expected)).to_be_visible()
    width = form.get_by_label("Label width at most")
    for mm, said in (("7", "no label can be read"), ("9", "read from 9 cm"), ("20", "from 18 cm"),
                     ("30", "has room for 28 mm")):  # fmt: skip
        width.fill(mm)
        expect(form.get_by_text(said)).to_be_visible()
    width.fill("20")
    form.get_by_label("Porous").check()
    form.get_by_label("Soak before gluing").fill("a while")
    form.get_by_role("button", name="Save", exact=True).click()
    words = "Soak before gluing, minutes: write a whole number from 0 to 10,080."
    expect(form.get_by_text(words)).to_be_visible()
    form.get_by_label("Soak before gluing").fill("720")
    save(page, "Hexagonal tile 40 mm")
    expect(page.get_by_text("Hexagon, 40 mm, label: underside")).to_be_visible()
    all_sent(page, farm)
    [row] = farm.ask("SELECT record FROM log WHERE kind = 'define' ORDER BY seq DESC LIMIT 1")
    assert '"soak_min":720' in row["record"]
    assert '"label_sits":"underside"' in row["record"]
    assert '"across_mm"' not in row["record"]


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("Check every … days", "0", "Check every … days: write a whole number from 1 to 365."),
        ("Check every … days", "weekly", "Check every … days: write a whole number from 1 to 365."),
        ("Rest between two cuts", "1501", "Rest between two cuts, days: write a whole number"),
        ("Scientific name", " ", "Give it a name."),
    ],
)
def test_what_cannot_be_is_refused_and_kept_in_the_form(
    page: Page, farm: Farm, field: str, value: str, said: str
) -> None:
    fetched(page, farm)
    form = sheet(page, farm, "Species", LOBO)
    form.get_by_label(field).fill(value)
    form.get_by_role("button", name="Save", exact=True).click()
    expect(form.get_by_role("alert")).to_contain_text(said)
    expect(form.get_by_label(field)).to_have_value(value)
    form.get_by_label("Scientific name").fill("x" * 121)
    assert len(form.get_by_label("Scientific name").input_value()) == 120


def test_a_keeper_looks_and_changes_nothing(page: Page, farm: Farm, other: BrowserContext) -> None:
    there = in_ruis_hand(page, farm, other)
    lists(there, farm, "Base kinds")
    expect(there.get_by_role("button", name="Add to base kinds")).to_have_count(0)
    there.get_by_role("button", name="Look: Hexagonal tile 40 mm").click()
    look = there.get_by_role("dialog")
    expect(look.get_by_text("1 piece, 1 piece still here.")).to_be_visible()
    look.locator("summary", has_text="What was changed, and by whom").click()
    expect(look.get_by_text("Added")).to_be_visible()
    names = look.get_by_role("button").all_inner_texts()
    assert names == ["Close"]
    expect(look.locator("input, select")).to_have_count(0)
