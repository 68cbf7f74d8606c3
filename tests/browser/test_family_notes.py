"""What is said of a family besides its tree: circles and gaps, colours over time, photos beside."""

import asyncio
from typing import Any

from playwright.sync_api import Page, expect

from api.records.clock import now_ms
from labels import display
from tests.browser.farm import Farm, ago
from tests.browser.pictures import picture, take
from tests.sync.phone import Phone, fates


def pushed(farm: Farm, lab: Phone, records: list[Any]) -> None:
    done = asyncio.run_coroutine_threadsafe(lab.push(farm.db, records, now_ms()), farm.loop)
    assert set(fates(done.result(20))) == {"stored"}


def cut(lab: Phone, cut_id: str, mother: str, at: int) -> dict[str, Any]:
    body = {"sitting": lab.id(), "mother": mother, "method": "method.band-saw"}
    return lab.make("cut", ("cut", cut_id), body, at)


def glue(lab: Phone, piece: str, cut_id: str, at: int) -> dict[str, Any]:
    body = {"cut": cut_id, "base": "base.hex-40", "purpose": "sale"}
    return lab.make("glue", ("piece", piece), body, at)


def arrival(lab: Phone, piece: str, at: int) -> dict[str, Any]:
    body = {"line": "Teal", "species": "species.lobo", "origin": "farmed"}
    return lab.make("arrival", ("piece", piece), body, at)


def test_a_circle_of_mothers_is_drawn_and_said(page: Page, farm: Farm) -> None:
    """A base was glued as a piece of its own descendant, by a phone whose clock was long behind."""
    lab, now = Phone("lab", 9), now_ms()
    first, child, one, two = (lab.id() for _ in range(4))
    pushed(farm, lab, [
        arrival(lab, first, ago(now, 30)), cut(lab, one, first, ago(now, 20)),
        glue(lab, child, one, ago(now, 20)), cut(lab, two, child, ago(now, 10)),
        glue(lab, first, two, ago(now, 50)),
    ])  # fmt: skip
    for piece in (first, child):
        page.goto(f"{farm.base}/family/{piece}")
        said = page.get_by_text("The records go in a circle")
        expect(said).to_be_visible(timeout=20_000)
        expect(said).to_contain_text("take it back on its piece and record it again")
        expect(said).to_contain_text("(glued ")
        expect(page.get_by_role("heading", name="A family of unknown line")).to_be_visible()
        expect(page.get_by_text("Here the circle closes")).to_have_count(1)
        expect(page.locator("[data-member]")).to_have_count(2)
        expect(page.locator("main [aria-current=true]")).to_have_attribute("data-member", piece)
    page.goto(f"{farm.base}/lines")
    expect(page.get_by_role("heading", name="Line not known 2 pieces")).to_be_visible()


def test_a_mother_of_whom_nobody_knows_how_she_began_is_said(page: Page, farm: Farm) -> None:
    lab, now = Phone("lab", 9), now_ms()
    mother, piece, one = (lab.id() for _ in range(3))
    came = arrival(lab, mother, ago(now, 30))
    pushed(farm, lab, [
        came, cut(lab, one, mother, ago(now, 9)), glue(lab, piece, one, ago(now, 9)),
        lab.make("retract", ("record", came["id"]), {"why": "wrong piece"}),
    ])  # fmt: skip
    page.goto(f"{farm.base}/family/{piece}")
    said = page.get_by_text("Neither its gluing nor its arrival is on this phone")
    expect(said).to_be_visible(timeout=20_000)
    expect(page.get_by_text("?+1: 1 added to a colony whose number nobody knows")).to_be_visible()
    expect(page.get_by_role("region", name="Where Line not known")).to_be_visible()


def note(page: Page, farm: Farm, piece: str, text: str, colour: bool) -> None:
    page.goto(f"{farm.base}/piece/{piece}")
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="Write a note").click()
    page.get_by_label("Note", exact=True).fill(text)
    if colour:
        page.get_by_label("It is about its colour").check()
    page.get_by_role("button", name="Save the note").click()
    expect(page.get_by_text("Note saved.")).to_be_visible()


def test_colours_are_dated_notes_of_the_piece_and_stand_beside_its_mother_s(
    page: Page, farm: Farm
) -> None:
    note(page, farm, farm.piece, "Green rim, orange middle", colour=True)
    page.context.set_offline(True)
    colours = page.get_by_role("region", name="Its colour over time")
    expect(colours.get_by_text("Green rim, orange middle")).to_be_visible()
    expect(colours.get_by_text("day 40, ")).to_be_visible()
    page.context.set_offline(False)
    note(page, farm, farm.piece, "Stands loose", colour=False)
    expect(colours.get_by_role("listitem")).to_have_count(1)
    note(page, farm, farm.mother, "All orange", colour=True)
    page.get_by_role("button", name="More", exact=True).click()
    page.get_by_role("button", name="All its records").click()
    expect(page.get_by_text("Its colour: All orange")).to_be_visible()

    page.goto(f"{farm.base}/family/{farm.piece}")
    beside = page.get_by_role("region", name="Colour: ")
    beside.get_by_role("button", name="Show the notes on colour").click()
    hers, theirs = (beside.get_by_role("list").nth(at) for at in (0, 1))
    expect(hers.get_by_role("listitem")).to_have_count(1)
    expect(hers).to_contain_text("All orange")
    expect(theirs.get_by_role("listitem")).to_have_count(1)
    expect(theirs).to_contain_text("Green rim, orange middle")
    expect(theirs.get_by_role("link", name=display(farm.code))).to_be_visible()
    [sent] = farm.ask("SELECT count(*) AS n FROM log WHERE kind = 'note'")
    assert sent["n"] == 3


def test_a_piece_s_photo_stands_beside_its_mother_s_and_both_can_be_chosen(
    page: Page, farm: Farm
) -> None:
    for piece, reds in ((farm.mother, (200, 120)), (farm.piece, (60,))):
        page.goto(f"{farm.base}/piece/{piece}")
        for red in reds:
            take(page, picture((red, 90, 60), (400, 300)))
            expect(page.get_by_text("Saved: photo of")).to_be_visible()
            page.get_by_role("button", name="Undo").wait_for(state="detached", timeout=20_000)
    expect(page.get_by_role("heading", name="Beside its mother")).to_be_visible()
    pictures = page.locator("h3 + .pair figure")
    expect(pictures).to_have_count(2)
    expect(pictures.first).to_contain_text("day 60")
    expect(pictures.first).to_contain_text(f"mother, {display('MWMWMWM' + '7')}")
    expect(pictures.last).to_contain_text("day 40")
    expect(page.get_by_text("0 days lie between them.")).to_be_visible()
    choices = page.locator("details", has=page.get_by_label("Picture of the mother"))
    choices.locator("summary").click()
    hers = choices.get_by_label("Picture of the mother")
    expect(hers.locator("option")).to_have_count(2)
    before = page.locator("h3 + .pair figure img").first.get_attribute("src")
    other = hers.locator("option:not(:checked)").get_attribute("value")
    hers.select_option(value=other)
    after = page.locator("h3 + .pair figure img").first
    expect(after).not_to_have_attribute("src", before or "")
