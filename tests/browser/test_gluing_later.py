"""Several mothers are cut one after another, and their pieces glued afterwards, back and forth."""

import asyncio
import json
import re

from playwright.sync_api import Page, expect

from api.records.clock import now_ms
from labels import display
from tests.browser.farm import WIDE, Farm, ago
from tests.browser.saw import at_the_saw
from tests.sync.phone import Phone, fates

SLOW = 30_000


def second_mother(farm: Farm) -> str:
    lab, now = Phone("lab", 11), now_ms()
    mother = lab.id()
    arrival = {"line": "Slate", "species": "species.lobo", "origin": "farmed", "cut_number": 2,
               "quarantine_days": 90}  # fmt: skip
    plug = {"list": "base", "fields": {"name": "Plug 20 mm", "shape": "disc", "soak_min": 30}}
    records = [
        lab.make("define", ("item", "base.plug"), plug, ago(now, 31)),
        lab.make("arrival", ("piece", mother), arrival, ago(now, 30)),
    ]
    pushed = asyncio.run_coroutine_threadsafe(lab.push(farm.db, records, now), farm.loop)
    assert fates(pushed.result(20)) == ["stored", "stored"]
    return mother


def test_a_cut_without_pieces_goes_on_with_the_base_that_was_chosen(page: Page, farm: Farm) -> None:
    second_mother(farm)
    main = at_the_saw(page, farm)
    main.get_by_role("radio", name="Plug 20 mm").click()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("button", name="Glue later, next mother").click()
    main.get_by_role("button", name="Glue her pieces: Amber").click()
    expect(main.get_by_role("radio", name="Plug 20 mm")).to_be_checked()


def test_each_cut_that_waits_keeps_its_own_base_kind_and_says_whose_it_is(
    page: Page, farm: Farm
) -> None:
    second_mother(farm)
    main = at_the_saw(page, farm)
    main.get_by_role("radio", name="Plug 20 mm").click()
    expect(main.get_by_text("Plug 20 mm: 30 minutes are asked; no soak")).to_be_visible()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("button", name="Glue later, next mother").click()
    # What arrives while a sitting is open is not left for later.
    main.get_by_role("button", name="A mother arrives").click()
    expect(main.get_by_role("heading", name="A mother arrives")).to_be_visible()
    main.get_by_role("button", name="Cancel").click()
    main.get_by_role("button", name="Slate").click()
    main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("button", name="Glue later, next mother").click()
    waiting = main.get_by_role("listitem").filter(has=page.get_by_role("button", name="Amber"))
    expect(waiting.get_by_text(re.compile(rf"{display(WIDE[0])}, \d"))).to_be_visible()
    waiting.get_by_role("button", name="Glue her pieces: Amber").click()
    expect(main.get_by_role("radio", name="Plug 20 mm")).to_be_checked()


def test_the_place_goes_on_with_the_first_free_one_after_the_last(page: Page, farm: Farm) -> None:
    main = at_the_saw(page, farm)
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()
    main.get_by_role("combobox", name="Tray").select_option(label="A1")
    place = main.get_by_role("textbox", name="Next place")
    place.fill("T20")
    main.get_by_role("button", name="Glue one without a label").click()
    expect(main.get_by_role("heading", name="1 piece glued", exact=True)).to_be_visible()
    expect(place).to_have_value("A1")


def test_pieces_of_two_mothers_of_one_sitting_go_to_their_own_cuts(page: Page, farm: Farm) -> None:
    slate = second_mother(farm)
    page.goto(f"{farm.base}/piece/{slate}")
    expect(page.get_by_text("In quarantine until")).to_be_visible(timeout=SLOW)
    # She has none yet, so it is no other one.
    page.get_by_role("button", name="More", exact=True).click()
    expect(page.get_by_role("button", name="Put a label on it", exact=True)).to_be_visible()
    page.get_by_role("button", name="Close").click()
    page.context.set_offline(True)
    main = at_the_saw(page, farm)
    # The mother's own past is at hand: her cut of 40 days ago and what became of its one piece.
    main.get_by_text("Cut 1 time before").click()
    past = main.get_by_text("1 piece glued: 1 healing, 0 ready, 0 lost, 0 gone")
    expect(past).to_be_visible()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("button", name="Glue later, next mother").click()

    expect(main.get_by_text("Cut in this sitting, not all glued")).to_be_visible()
    main.get_by_role("button", name="Slate").click()
    expect(main.get_by_text("She is in quarantine until")).to_be_visible()
    # Method and base kind are those of the cut before.
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Hold back").click()
    main.get_by_role("button", name="Glue one without a label").click()
    expect(main.get_by_role("heading", name="1 piece glued", exact=True)).to_be_visible()

    main.get_by_role("button", name="Glue her pieces: Amber").click()
    expect(main.get_by_role("heading", name="0 pieces glued")).to_be_visible()
    without = main.get_by_role("button", name="Glue one without a label")
    without.click()
    expect(main.get_by_role("heading", name="1 piece glued", exact=True)).to_be_visible()
    # The next piece of the same cut goes on a smaller base. Undone, its answers stand again.
    main.get_by_role("radio", name="Plug 20 mm").click()
    without.click()
    expect(main.get_by_role("heading", name="2 pieces glued", exact=True)).to_be_visible()
    main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
    main.get_by_role("button", name="Undo the last").click()
    expect(main.get_by_role("heading", name="1 piece glued", exact=True)).to_be_visible()
    expect(main.get_by_role("radio", name="Plug 20 mm")).to_be_checked()
    without.click()
    expect(main.get_by_role("heading", name="2 pieces glued", exact=True)).to_be_visible()

    # Left there, it goes on from the list of cuts another time.
    main.get_by_role("button", name="Glue later, next mother").click()
    main.get_by_role("button", name="End the sitting").click()
    main.get_by_role("link", name="Slate, Band saw").click()
    expect(main.get_by_role("heading", name="Cut of Slate")).to_be_visible()
    main.get_by_role("button", name="Go on gluing").click()
    expect(main.get_by_text("Never pull bonded skin apart")).to_be_visible()
    expect(main.get_by_text("Local codes and licensed practice come first")).to_be_visible()
    expect(main.get_by_role("heading", name="1 piece glued", exact=True)).to_be_visible()

    page.context.set_offline(False)
    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=SLOW)
    rows = farm.ask("SELECT record FROM log WHERE kind IN ('cut', 'glue') ORDER BY at, id")
    made = [json.loads(row["record"]) for row in rows][2:]
    amber, second = [one for one in made if one["kind"] == "cut"]
    assert [amber["body"]["mother"], second["body"]["mother"]] == [farm.mother, slate]
    assert amber["body"]["sitting"] == second["body"]["sitting"]
    glues = [one for one in made if one["kind"] == "glue"]
    bodies = [one["body"] for one in glues]
    first, large, small = amber["subject"]["id"], "base.hex-40", "base.plug"
    assert [(one["cut"], one["purpose"], one["base"]) for one in bodies] == [
        (second["subject"]["id"], "hold", large), (first, "hold", large),
        (first, "hold", small), (first, "hold", small),
    ]  # fmt: skip
    [undone] = farm.ask("SELECT subject FROM log WHERE kind = 'retract'")
    assert undone["subject"] == glues[2]["id"]
