"""Forms of the farm and of people: who may change what, what stays chosen, what is half-made."""

import re

from playwright.sync_api import BrowserContext, Locator, Page, expect

from tests.browser.farm import Farm
from tests.browser.people import RUI, add_person, fetched, in_ruis_hand
from tests.browser.pictures import given, picture

DRAFT = """async (want) => {
  const DRAFT = 'nubbin-draft'
  const held = async () => (await navigator.locks.query()).held.some((lock) => lock.name === DRAFT)
  for (let tries = 0; tries < 250; tries += 1) {
    if ((await held()) === want) break
    await new Promise((on) => setTimeout(on, 20))
  }
  return held()
}"""
"""Whether some tab holds something not saved, so that nothing may reload the app; waits till so."""

FULL = """() => {
  for (const name of ['put', 'add']) {
    IDBObjectStore.prototype[name] = () => { throw new DOMException('full', 'QuotaExceededError') }
  }
}"""


def test_a_keeper_sees_the_setup_and_changes_nothing(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    there.goto(f"{farm.base}/setup")
    main = there.locator("main")
    expect(main.get_by_text("saving here is for an owner or a lead. Ask one")).to_be_visible()
    for title in ("The farm", "Label address", "Cut numbers", "Lists"):
        expect(main.get_by_role("heading", name=title, exact=True)).to_be_visible()
    told = [
        main.get_by_role("term").all_inner_texts(),
        main.get_by_role("definition").all_inner_texts(),
    ]
    assert list(zip(*told, strict=True)) == [
        ("Name", "Low Wall Farm"),
        ("Time zone", "Europe/Lisbon"),
        ("A wild colony counts as", "0"),
        ("A piece held back counts as", "Its mother plus one"),
    ]
    expect(main.get_by_text("Labels carry LABELS.EXAMPLE.")).to_be_visible()
    for choice in ("Species", "Trays"):
        main.get_by_label("List", exact=True).select_option(label=choice)
        expect(
            main.get_by_role("listitem").filter(has_text=re.compile("Lobophyllia|A1"))
        ).to_be_visible()
        expect(main.get_by_role("button", name=re.compile("Save|Change|Add|Choose"))).to_have_count(
            0
        )
    expect(main.get_by_role("textbox")).to_have_count(0)
    expect(main.get_by_role("radio")).to_have_count(0)


def chosen(group: Locator) -> list[str]:
    """What a screen reader hears as chosen, and what is seen to be."""
    heard = group.locator("label", has=group.page.locator("input:checked")).all_inner_texts()
    assert heard == group.locator("label.chosen").all_inner_texts()
    return heard


def test_what_must_have_an_answer_keeps_it(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/setup")
    group = page.get_by_role("radiogroup", name="A wild colony counts as")
    one = group.get_by_role("radio", name="1", exact=True)
    expect(group).to_be_visible()
    assert chosen(group) == ["0"]
    group.get_by_role("radio", name="0", exact=True).click()
    assert chosen(group) == ["0"]
    one.click()
    expect(one).to_be_checked()
    for key in (" ", "Backspace", "Delete"):
        one.press(key)
        assert chosen(group) == ["1"]
    # What could not be saved is not shown as if it were.
    page.evaluate(FULL)
    group.get_by_role("radio", name="0", exact=True).click()
    said = page.get_by_role("region", name="Cut numbers").get_by_text(
        "Not saved. This phone has no"
    )
    expect(said).to_be_visible()
    assert chosen(group) == ["1"]

    page.goto(f"{farm.base}/people")
    page.get_by_role("button", name="Add a person").click()
    rights = page.get_by_role("dialog").get_by_role("radiogroup", name="Rights")
    rights.get_by_role("radio", name="Keeper").click()
    assert chosen(rights) == ["Keeper"]
    page.goto(f"{farm.base}/phones/pair")
    whose = page.get_by_role("radiogroup", name="Whose phone is it?")
    whose.get_by_role("radio", name="Shared").click()
    assert chosen(whose) == ["Shared"]
    page.goto(f"{farm.base}/setup")
    page.get_by_role("button", name="Add to species").click()
    form = page.get_by_role("dialog").get_by_role("radiogroup", name="Growth form")
    form.get_by_role("radio", name="Single mouth").click()
    assert chosen(form) == ["Single mouth"]


def test_an_answer_that_may_be_left_out_is_still_taken_back(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/check/{farm.piece}")
    mouth = page.get_by_role("radiogroup").first
    answer = mouth.get_by_role("radio", name=re.compile("^Open"))
    answer.click()
    expect(answer).to_be_checked()
    answer.click()
    expect(answer).not_to_be_checked()
    assert chosen(mouth) == []


def draft(page: Page, want: bool) -> None:
    assert page.evaluate(DRAFT, want) is want


def typed(page: Page, field: Locator, text: str) -> None:
    """What is typed there holds back a newer version, and lets it go when it is taken out again."""
    before = field.input_value()
    for value, half in ((before, False), (text, True), (before, False), (text, True)):
        field.fill(value)
        draft(page, half)


def test_what_is_typed_holds_back_a_newer_version(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    page.goto(f"{farm.base}/setup")
    typed(page, page.get_by_label("Name", exact=True), "Long Wall Farm")
    page.get_by_role("button", name="Save the farm").click()
    draft(page, False)
    page.get_by_role("button", name="Choose another address").click()
    typed(page, page.get_by_label("Host on every label"), "farm.example")
    page.get_by_role("button", name="Cancel").click()
    draft(page, False)
    for password in (False, True):
        page.goto(f"{farm.base}/you")
        typed(page, page.get_by_label("New password" if password else "New PIN"), "2")
    page.get_by_label("New password").fill("slow tides at noon")
    page.get_by_role("button", name="Set my password").click()
    draft(page, False)


def test_a_name_and_a_password_hold_it_back_too(farm: Farm, other: BrowserContext) -> None:
    there = other.new_page()
    there.goto(f"{farm.base}/sign-in")
    there.get_by_role("button", name="Sign in as an owner").click()
    typed(there, there.get_by_label("Name", exact=True), "Somebody")
    there.get_by_role("button", name="Sign in with a code instead").click()
    draft(there, False)


def test_so_does_a_sheet_while_it_is_open(page: Page, farm: Farm) -> None:
    fetched(page, farm)
    add_person(page, farm, "Rui", RUI)
    for path, button in (("/people", "Change Rui"), ("/setup", "Add to species")):
        page.goto(farm.base + path)
        page.get_by_role("button", name=button).click()
        draft(page, True)
        page.get_by_role("dialog").get_by_role("button", name="Cancel").click()
        draft(page, False)


def test_a_photo_that_is_not_handed_over_is_counted_and_has_a_way_out(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    other.route("**/api/photos/**", lambda route: route.abort())
    there.goto(f"{farm.base}/check/{farm.piece}")
    there.get_by_role("radio", name=re.compile("^Open")).click()
    with there.expect_file_chooser() as chooser:
        there.get_by_role("button", name="Photo").click()
    chooser.value.set_files(given("a.jpg", picture()))
    expect(there.get_by_role("img", name="Photo 1, not saved yet")).to_be_visible(timeout=20_000)
    there.get_by_role("button", name="Save").click()
    there.wait_for_url("**/scan")

    page.goto(f"{farm.base}/phones")
    row = page.get_by_role("listitem").filter(has_text="shared, now with Rui")
    row.get_by_role("button", name="Change").click()
    page.get_by_role("button", name="Sign this phone out for good").click()
    sheet = page.get_by_role("dialog")
    expect(
        sheet.get_by_text("once it reaches the server again; without its photos")
    ).to_be_visible()
    sheet.get_by_role("button", name="Sign this phone out for good").click()
    expect(page.get_by_role("heading", name="Signed out for good")).to_be_visible()

    there.goto(f"{farm.base}/sign-in")
    expect(there.get_by_text("This phone was signed out by the farm")).to_be_visible(timeout=30_000)
    expect(
        there.get_by_text("Still only on this phone, and not handed over: 1 photo.")
    ).to_be_visible()
    there.get_by_role("link", name="Save what waits as a file").click()
    there.wait_for_url("**/waiting")
    expect(there.get_by_role("button", name="Save as a file")).to_be_visible()
