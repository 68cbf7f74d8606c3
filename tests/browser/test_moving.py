"""Moving by scanning: a piece, piece after piece, a whole tray, all from one tray to another."""

from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from labels import display
from tests.browser.farm import WIDE, Farm
from tests.browser.moving import Moving, all_sent, read
from tests.browser.people import in_ruis_hand
from tests.labels.camera import write_camera


@pytest.fixture
def moving(page: Page, farm: Farm) -> Moving:
    """What is to be moved, fetched by the phone."""
    made = Moving(farm)
    page.goto(f"{farm.base}/trays")
    expect(page.get_by_role("link", name="A3")).to_be_visible(timeout=20_000)
    return made


def test_labels_of_trays_and_tanks_open_their_screens(
    phone: BrowserContext, page: Page, farm: Farm, moving: Moving, camera: Path
) -> None:
    phone.set_offline(True)
    write_camera(camera, moving.tray_code)
    page.goto(f"{farm.base}/scan")
    page.wait_for_url("**/tray/tray.a2", timeout=30_000)
    write_camera(camera, None)
    expect(page.get_by_text("3 pieces stand here, 6 places are free.")).to_be_visible()
    expect(page.get_by_text(f"Label {display(moving.tray_code)}")).to_be_visible()
    page.goto(f"{farm.base}/scan")
    read(page, moving.tank_code)
    page.wait_for_url("**/tank/tank.two")
    expect(page.get_by_text("No tray is noted in this tank.")).to_be_visible()
    read_by_hand(page, moving.codes[0])
    page.wait_for_url(f"**/piece/{moving.pieces[0]}")


def read_by_hand(page: Page, code: str) -> None:
    """A hand-held reader types all of it in a moment."""
    page.keyboard.type(code)
    page.keyboard.press("Enter")


def test_a_keeper_puts_a_label_on_a_tray_from_either_side(
    page: Page, farm: Farm, other: BrowserContext
) -> None:
    there = in_ruis_hand(page, farm, other)
    there.goto(f"{farm.base}/tray/tray.a1")
    expect(there.get_by_role("button", name="Put a label on this tray")).to_be_visible()
    there.goto(f"{farm.base}/trays?code={farm.spare}")
    there.get_by_label("Tray or tank").select_option(label="A1")
    there.get_by_role("button", name="Save the label").click()
    there.wait_for_url("**/tray/tray.a1")
    expect(there.get_by_text(f"Label {display(farm.spare)}")).to_be_visible()


def test_an_unknown_label_goes_on_a_tray(page: Page, farm: Farm, moving: Moving) -> None:
    page.goto(f"{farm.base}/scan")
    read(page, farm.spare)
    page.get_by_role("button", name="It goes on a tray or tank").click()
    page.get_by_role("button", name="Save the label").click()
    expect(page.get_by_text("Choose a tray or a tank first.")).to_be_visible()
    page.get_by_label("Tray or tank").select_option(label="A3")
    page.get_by_role("button", name="Save the label").click()
    page.wait_for_url("**/tray/tray.a3")
    # A second one by the tray's own screen: one that is on a piece is not taken.
    page.get_by_role("button", name="Put a label on this tray").click()
    read(page, farm.code)
    expect(page.get_by_text("is already on Amber")).to_be_visible()
    read(page, moving.tank_code)
    expect(page.get_by_text("is already on Grow-out 2")).to_be_visible()
    page.get_by_role("button", name="Cancel").click()
    all_sent(page, farm)
    rows = farm.ask("SELECT subject FROM log WHERE kind = 'bind' AND record LIKE ?",
                    f"%{farm.spare}%")  # fmt: skip
    assert [row["subject"] for row in rows] == ["tray.a3"]


def test_piece_after_piece_goes_to_the_next_free_place_offline(
    phone: BrowserContext, page: Page, farm: Farm, moving: Moving
) -> None:
    page.goto(f"{farm.base}/tray/tray.a3")
    phone.set_offline(True)
    page.get_by_role("button", name="Put pieces here").click()
    next_place = page.get_by_role("status").filter(has_text="The next one goes to")
    expect(next_place).to_contain_text("A1")
    read(page, moving.codes[0])
    expect(page.get_by_text(f"Saved: {display(moving.codes[0])} at A1.")).to_be_visible()
    expect(next_place).to_contain_text("B1")
    # Another place than the one that is proposed, and then on from there, round the end.
    page.get_by_role("button", name="B2: free").click()
    expect(next_place).to_contain_text("B2")
    read(page, moving.codes[1])
    expect(page.get_by_text(f"Saved: {display(moving.codes[1])} at B2.")).to_be_visible()
    expect(next_place).to_contain_text("B1")
    # One that stands here says so, and is moved only if somebody asks for it.
    read(page, moving.codes[1])
    expect(page.get_by_text("stands here already, at B2. Nothing was moved.")).to_be_visible()
    page.get_by_role("button", name="Undo the last one").click()
    expect(page.get_by_text("stands where it stood before.")).to_be_visible()
    expect(next_place).to_contain_text("B2")
    expect(page.get_by_text("1 piece put here")).to_be_visible()
    phone.set_offline(False)
    all_sent(page, farm)
    assert moving.moves(moving.pieces[0]) == [{"tray": "tray.a3", "place": "A1"}]
    assert moving.moves(moving.pieces[1]) == []


def test_what_cannot_be_put_here_is_said_and_nothing_is_lost(
    page: Page, farm: Farm, moving: Moving
) -> None:
    moving.push([
        moving.lab.make("loss", ("piece", moving.pieces[0]), {"how": "dead"}, moving.now),
        moving.lab.make("exit", ("piece", moving.pieces[1]), {"how": "given"}, moving.now),
    ])  # fmt: skip
    page.goto(f"{farm.base}/tray/tray.a2")
    expect(page.get_by_text("1 piece stands here, 8 places are free.")).to_be_visible(
        timeout=20_000
    )
    page.goto(f"{farm.base}/tray/tray.a3/put")
    expect(page.get_by_text("The next one goes to")).to_be_visible()
    for code, words in (
        (moving.codes[0], "was recorded lost on"),
        (moving.codes[1], "left the farm on"),
        (farm.spare, "is not on a piece on this phone. Nothing was moved."),
        (moving.tray_code, "is the label of A2, not of a piece. Nothing was moved."),
    ):
        read(page, code)
        expect(page.get_by_text(words)).to_be_visible(timeout=15_000)
    expect(page.get_by_text("0 pieces put here")).to_be_visible()
    # By its place in another tray, for labels that are overgrown: tapped on that tray's map.
    page.get_by_role("button", name="Tray and place").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("Tray", exact=True).select_option(label="A2")
    sheet.get_by_role("button", name="C3: ").click()
    expect(page.get_by_text(f"Saved: {display(moving.codes[2])} at A1.")).to_be_visible()
    # A mother without a place, and three more: the tray is full.
    for code in (WIDE[0], farm.code):
        read(page, code)
        expect(page.get_by_text(f"Saved: {display(code)} at")).to_be_visible()
    expect(page.get_by_text("3 pieces put here")).to_be_visible()
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(page.get_by_text("2 pieces put here")).to_be_visible()


def test_a_piece_moves_to_a_scanned_tray_and_a_tapped_place(
    page: Page, farm: Farm, moving: Moving
) -> None:
    page.goto(f"{farm.base}/piece/{farm.piece}")
    page.get_by_role("button", name="Move").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_role("button", name="Scan a tray, a tank or a piece in a tray").click()
    read(page, moving.tray_code)
    sheet.get_by_role("button", name="C2: free").click()
    expect(sheet.get_by_label("Place in the tray")).to_have_value("C2")
    sheet.get_by_role("button", name="Record the move").click()
    expect(page.get_by_text("Saved: moved to A2, C2.")).to_be_visible()
    # Its own place is free for it; and into a tank, in no tray, by the tank's label.
    page.get_by_role("button", name="Move").click()
    expect(sheet.get_by_role("button", name="C2: free")).to_be_visible()
    sheet.get_by_role("button", name="Scan a tray, a tank or a piece in a tray").click()
    read(page, moving.tank_code)
    sheet.get_by_role("button", name="Record the move").click()
    expect(page.get_by_text("Saved: moved to Grow-out 2.")).to_be_visible()
    all_sent(page, farm)
    assert moving.moves(farm.piece) == [{"tray": "tray.a2", "place": "C2"}, {"tank": "tank.two"}]
    page.goto(f"{farm.base}/tank/tank.two")
    expect(page.get_by_role("heading", name="In it without a tray")).to_be_visible()


def test_a_tray_moves_with_what_stands_in_it(
    phone: BrowserContext, page: Page, farm: Farm, moving: Moving
) -> None:
    page.goto(f"{farm.base}/tray/tray.a2")
    phone.set_offline(True)
    expect(page.get_by_text("since")).to_be_visible()
    page.get_by_role("button", name="Move this tray").click()
    sheet = page.get_by_role("dialog")
    expect(sheet.get_by_text("What stands in it goes along: 3 pieces.")).to_be_visible()
    sheet.get_by_role("button", name="Move the tray").click()
    expect(sheet.get_by_text("Choose a tank, or scan its label.")).to_be_visible()
    sheet.get_by_label("To which tank?").select_option(label="Grow-out 1")
    sheet.get_by_role("button", name="Move the tray").click()
    expect(sheet.get_by_text("A2 stands in Grow-out 1 already.")).to_be_visible()
    sheet.get_by_role("button", name="Scan the tank’s label").click()
    read(page, moving.tray_code)
    expect(sheet.get_by_text("is not the label of a tank.")).to_be_visible()
    read(page, moving.tank_code)
    sheet.get_by_role("button", name="Move the tray").click()
    expect(page.get_by_text("Saved: A2 stands in Grow-out 2, and what is in it.")).to_be_visible()
    page.get_by_role("link", name="Grow-out 2").click()
    expect(page.get_by_text("3 pieces stand here, 800 litres.")).to_be_visible()
    expect(page.get_by_role("link", name="A2 3 pieces 6 free")).to_be_visible()
    phone.set_offline(False)
    all_sent(page, farm)
    assert moving.moves("tray.a2") == [{"tank": "tank.one"}, {"tank": "tank.two"}]


def test_all_from_one_tray_move_or_none_and_can_be_taken_back(
    phone: BrowserContext, page: Page, farm: Farm, moving: Moving
) -> None:
    page.goto(f"{farm.base}/tray/tray.a2")
    phone.set_offline(True)
    page.get_by_role("button", name="Move all its pieces").click()
    sheet = page.get_by_role("dialog")
    sheet.get_by_label("To which tray?").select_option(label="A3")
    expect(sheet.get_by_text("2 pieces keep their places.")).to_be_visible()
    expect(sheet.get_by_text(f"{display(moving.codes[2])}: C3 becomes A2")).to_be_visible()
    sheet.get_by_role("button", name="Move 3 pieces").click()
    expect(page.get_by_text("Saved: 3 pieces moved to A3.")).to_be_visible()
    expect(page.get_by_text("0 pieces stand here, 9 places are free.")).to_be_visible()
    page.get_by_role("button", name="Undo", exact=True).click()
    expect(page.get_by_text("3 pieces stand here, 6 places are free.")).to_be_visible()
    phone.set_offline(False)
    all_sent(page, farm)
    assert [moving.moves(piece) for piece in moving.pieces] == [[], [], []]
    # Where not all find room, none is moved.
    moving.push([
        moving.lab.make("move", ("piece", farm.piece), {"tray": "tray.a3", "place": "A1"},
                        moving.now),
        moving.lab.make("move", ("piece", farm.mother), {"tray": "tray.a3"}, moving.now),
    ])  # fmt: skip
    page.goto(f"{farm.base}/tray/tray.a3")
    expect(page.get_by_text("2 pieces stand here, 2 places are free.")).to_be_visible(
        timeout=20_000
    )
    page.goto(f"{farm.base}/tray/tray.a2")
    page.get_by_role("button", name="Move all its pieces").click()
    sheet.get_by_label("To which tray?").select_option(label="A3")
    expect(sheet.get_by_text("A3 has too few free places, by 1. All or none")).to_be_visible()
    expect(sheet.get_by_role("button", name="Move 3 pieces")).to_be_disabled()
