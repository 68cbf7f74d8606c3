"""A trial at the saw: drawn piece by piece and part by part, offline, and counted."""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.farm import Farm
from tests.browser.trial_bench import NAMES, bare, drawn, plan, records, saved, to_how, with_choices


@pytest.fixture
def desk(page: Page, farm: Farm) -> Page:
    """The owner's phone on a farm with two methods and three base kinds."""
    return with_choices(page, farm)


def test_bases_are_drawn_piece_by_piece_without_a_network(desk: Page, farm: Farm) -> None:
    main = plan(desk, farm, "Tiles", "Base kind", ("Hexagonal tile 40 mm", "Disc 30 mm"))
    trial = saved(desk)
    main = to_how(desk, farm, "Tiles: base kinds")
    main.get_by_role("radio", name="Band saw").click()
    expect(main.get_by_text("The base is drawn for each piece")).to_be_visible()
    main.get_by_role("button", name="Start gluing").click()
    expect(main.get_by_text("Take or mark the next piece as it comes")).to_be_visible()
    desk.context.set_offline(True)
    main.get_by_role("radio", name="Sale").click()
    without = main.get_by_role("button", name="Glue one without a label")
    show = main.get_by_role("button", name="It is in hand")

    # Before anybody has looked nothing is saved; the arm is not in sight either.
    without.click()
    expect(main.get_by_text("First look what the next piece gets")).to_be_visible()
    expect(main.get_by_text("Next piece:")).to_have_count(0)

    arms = []
    for count in range(1, 5):
        show.click()
        arms.append(drawn(main))
        without.click()
        expect(main.get_by_role("heading", name=f"{count} piece")).to_be_visible()
        # Taken back and done again, also after a reload: the same arm.
        if count == 2:
            main.get_by_role("button", name="Undo the last").click()
            expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible()
            desk.reload()
            show.click()
            assert drawn(main) == arms[-1]
            without.click()
            expect(main.get_by_role("heading", name="2 pieces")).to_be_visible()
    # It broke off, and goes on the third kind: what was drawn and what was done are both kept.
    show.click()
    arms.append(drawn(main))
    main.get_by_role("combobox", name="It is glued to").select_option(label="Old plug")
    expect(main.get_by_text("counts for what was drawn")).to_be_visible()
    without.click()
    expect(main.get_by_role("heading", name="5 pieces")).to_be_visible()

    desk.goto(f"{farm.base}/trial/{trial}")
    expect(main.get_by_text("1 of 24 cuts, 5 pieces drawn")).to_be_visible()
    for key in ("base.hex-40", "base.disc"):
        arm = main.get_by_role("region", name=NAMES[key])
        expect(arm.locator("dl div", has_text="Pieces")).to_contain_text(
            str(arms.count(NAMES[key]))
        )
    expect(main.get_by_text("shown when the planned cuts are done: 23 to go")).to_be_visible()

    desk.context.set_offline(False)
    glued = [one["body"] for one in records(desk, farm, "glue") if "arm" in one["body"]]
    [cut] = [one["body"] for one in records(desk, farm, "cut") if "trial" in one["body"]]
    assert (cut["trial"], cut["method"]) == (trial, "method.band-saw")
    # Five that stand and the one taken back, which was drawn for the same.
    assert [NAMES[one["arm"]] for one in glued] == [*arms[:2], *arms[1:]]
    assert [one["base"] for one in glued[:-1]] == [one["arm"] for one in glued[:-1]]
    assert glued[-1]["base"] == "base.old"


def test_the_base_that_was_drawn_says_whether_a_place_is_needed(desk: Page, farm: Farm) -> None:
    """One of the two kinds carries no label: a piece on it is found by its place alone."""
    bare(farm, "base.disc")
    desk.reload()
    # What the office has changed is on this phone before anything is glued.
    desk.wait_for_function(
        """() => new Promise((told) => {
          const asked = indexedDB.open('nubbin')
          asked.onsuccess = () => {
            const items = asked.result.transaction('items').objectStore('items').get('base.disc')
            items.onsuccess = () => told(items.result?.fields.label_sits === 'tray')
          }
        })"""
    )
    plan(desk, farm, "Tiles", "Base kind", ("Hexagonal tile 40 mm", "Disc 30 mm"))
    saved(desk)
    main = to_how(desk, farm, "Tiles: base kinds")
    main.get_by_role("radio", name="Band saw").click()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()
    asked = main.get_by_text("A base of this kind carries no label")
    seen = set()
    for count in range(1, 7):
        main.get_by_role("button", name="It is in hand").click()
        arm = drawn(main)
        seen.add(arm)
        main.get_by_role("button", name="Glue one without a label").click()
        if arm == "Disc 30 mm":
            expect(asked).to_be_visible()
            main.get_by_role("combobox", name="It is glued to").select_option(
                label="Hexagonal tile 40 mm"
            )
            main.get_by_role("button", name="Glue one without a label").click()
        heading = f"{count} piece{'s' if count > 1 else ''} glued"
        expect(main.get_by_role("heading", name=heading, exact=True)).to_be_visible()
        expect(asked).to_have_count(0)
    assert seen == {"Hexagonal tile 40 mm", "Disc 30 mm"}


def test_mouths_are_set_as_drawn(desk: Page, farm: Farm) -> None:
    main = plan(desk, farm, "Mouths", "Mouth kept", ("No mouth", "A whole mouth"))
    saved(desk)
    main = to_how(desk, farm, "Mouths: mouth kept")
    main.get_by_role("radio", name="Band saw").click()
    main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()
    main.get_by_role("button", name="It is in hand").click()
    arm = drawn(main)
    kept = main.get_by_role("radiogroup", name="Mouth kept")
    chosen = {"No mouth": "None", "A whole mouth": "One"}[arm]
    expect(kept.get_by_role("radio", name=chosen, exact=True)).to_be_checked()
    kept.get_by_role("radio", name="Part").click()
    expect(main.get_by_text("It is recorded with what was kept")).to_be_visible()
    main.get_by_role("button", name="Glue one without a label").click()
    expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible()
    [glued] = [one["body"] for one in records(desk, farm, "glue") if "arm" in one["body"]]
    assert (glued["arm"], glued["mouths_kept"]) == (
        {"No mouth": "none", "A whole mouth": "whole"}[arm], "part",
    )  # fmt: skip


def test_methods_are_drawn_for_parts_of_a_mother(desk: Page, farm: Farm) -> None:
    main = plan(desk, farm, "Saws", "Method", ("Band saw", "Tile saw"))
    saved(desk)
    parts = []
    for number in (1, 2):
        main = to_how(desk, farm, "Saws: methods")
        if number == 1:
            main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
            main.get_by_role("button", name="Start gluing").click()
            expect(main.get_by_text("Mark her parts and look what this one gets")).to_be_visible()
        main.get_by_role("button", name=f"She is marked: show part {number}").click()
        said = main.get_by_text(re.compile(f"Part {number} of 2: "))
        parts.append(said.inner_text().split(": ")[1])
        expect(main.get_by_role("radio", name=parts[-1])).to_be_checked()
        main.get_by_role("button", name="Start gluing").click()
        expect(main.get_by_text(f"Part {number} of 2, drawn: {parts[-1]}")).to_be_visible()
        main.get_by_role("radio", name="Sale").check()
        main.get_by_role("button", name="Glue one without a label").click()
        expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible()
        main.get_by_role("button", name="Done with this mother").click()
        sheet = desk.get_by_role("dialog")
        sheet.get_by_role("radio", name="Stays on her base").click()
        sheet.get_by_role("button", name="Save and finish").click()
        expect(main.get_by_text("Scan her label")).to_be_visible()
    assert sorted(parts) == ["Band saw", "Tile saw"]
    cuts = [one["body"] for one in records(desk, farm, "cut") if "trial" in one["body"]]
    glued = [one["body"] for one in records(desk, farm, "glue") if "arm" in one["body"]]
    assert [NAMES[one["method"]] for one in cuts] == parts
    assert [NAMES[one["arm"]] for one in glued] == parts
