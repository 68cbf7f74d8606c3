"""A trial at the desk: its plan, the number of cuts it takes, what may change, its end."""

import asyncio

import pytest
from playwright.sync_api import Page, expect

from api.planning.trial_size import Design, cuts_for_shares
from api.records.clock import now_ms
from tests.browser.farm import Farm, ago
from tests.browser.trial_bench import plan, records, saved, to_how, with_choices
from tests.sync.phone import Phone, fates


@pytest.fixture
def desk(page: Page, farm: Farm) -> Page:
    """The owner's phone on a farm with two methods and three base kinds."""
    return with_choices(page, farm)


def test_the_number_of_cuts_is_said_while_planning(desk: Page, farm: Farm) -> None:
    """A young farm: no made-up number, but one from what is typed; and slips keep the form."""
    main = plan(desk, farm, "Tiles", "Base kind", ("Hexagonal tile 40 mm",))
    main.get_by_role("button", name="Save the plan").click()
    expect(main.get_by_text("A trial needs two or more")).to_be_visible()
    main.get_by_role("checkbox", name="Disc 30 mm").check()
    main.get_by_role("combobox", name="What is looked at").select_option(label="Lost by day 180")
    expect(main.get_by_text("so no number of cuts is given")).to_be_visible(timeout=15_000)
    main.get_by_role("textbox", name="Lost, of a hundred pieces").fill("120")
    main.get_by_role("textbox", name="Pieces a cut").fill("8")
    expect(main.get_by_text("Write 0 to 100")).to_be_visible(timeout=15_000)
    main.get_by_role("textbox", name="Lost, of a hundred pieces").fill("20")
    # 14 in a hundred from 20 lost, eight pieces a cut, nothing taken to cancel.
    cuts = cuts_for_shares(Design(2, 8.0), 0.2, 0.14, 0.0)
    expect(main.get_by_text(f"{cuts} cuts show a difference of 14 in a hundred")).to_be_visible(
        timeout=15_000
    )
    main.get_by_role("button", name=f"Plan {cuts} cuts").click()
    expect(main.get_by_role("textbox", name="How many cuts")).to_have_value(str(cuts))
    desk.context.set_offline(True)
    main.get_by_role("textbox", name="Difference worth knowing").fill("0")
    main.get_by_role("button", name="Save the plan").click()
    expect(main.get_by_text("cannot be found by any number of cuts")).to_be_visible()
    main.get_by_role("textbox", name="Difference worth knowing").fill("20")
    expect(main.get_by_text("is not reached just now")).to_be_visible(timeout=15_000)
    desk.reload()
    main.get_by_role("button", name="Plan a trial").click()
    expect(main.get_by_role("textbox", name="What it is called")).to_have_value("Tiles")
    saved(desk)
    expect(main.get_by_text("Worth knowing: 20 in a hundred")).to_be_visible()


def test_what_was_drawn_holds_the_plan_and_it_can_be_ended(desk: Page, farm: Farm) -> None:
    main = plan(desk, farm, "Tiles", "Base kind", ("Hexagonal tile 40 mm", "Disc 30 mm"))
    trial = saved(desk)
    expect(main.get_by_text("Hexagonal tile 40 mm · Disc 30 mm")).to_be_visible()
    main = to_how(desk, farm, "Tiles: base kinds")
    main.get_by_role("radio", name="Band saw").click()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()
    main.get_by_role("button", name="It is in hand").click()
    main.get_by_role("button", name="Glue one without a label").click()
    expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible()

    desk.goto(f"{farm.base}/trial/{trial}")
    main.get_by_role("button", name="Change").click()
    main.get_by_role("checkbox", name="Old plug").check()
    main.get_by_role("button", name="Save the plan").click()
    expect(main.get_by_text("end this trial and plan another")).to_be_visible()
    expect(main.get_by_role("checkbox", name="Old plug")).to_be_checked()
    main.get_by_role("checkbox", name="Old plug").uncheck()
    main.get_by_role("textbox", name="What it is called").fill("Tiles, winter")
    main.get_by_role("textbox", name="How many cuts").fill("30")
    main.get_by_role("button", name="Save the plan").click()
    expect(main.get_by_text("1 of 30 cuts, 1 piece drawn")).to_be_visible()
    expect(main.get_by_role("heading", name="Tiles, winter")).to_be_visible()
    main.get_by_role("button", name="End it").click()
    expect(main.get_by_role("button", name="Take it up again")).to_be_visible()
    desk.goto(f"{farm.base}/cuts")
    # The cut that is open goes on as it was drawn; new ones are in nothing.
    expect(main.get_by_text("Trial: Tiles, winter")).to_be_visible()
    defined = [
        one["body"] for one in records(desk, farm, "define") if one["body"]["list"] == "trial"
    ]
    assert [one.get("retired") for one in defined] == [None, None, True]
    seeds = [one["fields"]["seed"] for one in defined if "seed" in one["fields"]]
    assert len(seeds) == 1


def test_the_difference_is_shown_once_the_planned_cuts_are_done(desk: Page, farm: Farm) -> None:
    lab, now = Phone("lab", 9), now_ms()
    fields = {"name": "Tiles", "varies": "base", "arms": ["base.hex-40", "base.disc"],
              "endpoint": "sale", "difference": 14, "cuts": 4, "begins": "2026-01-01",
              "seed": "one"}  # fmt: skip
    made = [lab.make("define", ("item", "trial.t"), {"list": "trial", "fields": fields})]
    for number in range(4):
        cut, day = lab.id(), ago(now, 39 - number)
        body = {"sitting": cut, "mother": farm.mother, "method": "method.band-saw",
                "trial": "trial.t"}  # fmt: skip
        made.append(lab.make("cut", ("cut", cut), body, day))
        for arm in fields["arms"]:
            piece = lab.id()
            glue = {"cut": cut, "base": arm, "arm": arm, "purpose": "sale"}
            made.append(lab.make("glue", ("piece", piece), glue, day))
            if arm == "base.disc" or number:
                made.append(lab.make("ready", ("piece", piece), {"for": "sale"}, ago(now, 2)))
    pushed = asyncio.run_coroutine_threadsafe(lab.push(farm.db, made, now), farm.loop)
    assert set(fates(pushed.result(20))) == {"stored"}
    desk.goto(f"{farm.base}/trial/trial.t")
    main = desk.locator("main")
    expect(main.get_by_text("4 of 4 cuts, 8 pieces drawn")).to_be_visible(timeout=30_000)
    expect(main.get_by_text("1 piece is still healing, so this can still change")).to_be_visible()
    expect(main.get_by_text("shown when the planned cuts")).to_have_count(0)
    main.get_by_role("button", name="Fetch it now").click()
    expect(main.get_by_text("Disc 30 mm: 4 of 4 ready")).to_be_visible(timeout=15_000)
    expect(main.get_by_text("Hexagonal tile 40 mm: 3 of 4 ready")).to_be_visible()
    # Kept for reading without a network.
    desk.context.set_offline(True)
    desk.reload()
    expect(main.get_by_text("Disc 30 mm: 4 of 4 ready")).to_be_visible(timeout=15_000)
