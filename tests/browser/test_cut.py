"""A cut from mother to glued piece, the label seen by the camera."""

import json
from pathlib import Path

from playwright.sync_api import Page, expect

from labels import display
from tests.browser.farm import Farm
from tests.browser.saw import at_the_saw
from tests.labels.camera import write_camera


def test_a_mother_is_cut_and_a_scanned_label_becomes_a_piece(
    page: Page, farm: Farm, camera: Path
) -> None:
    write_camera(camera, None)
    main = at_the_saw(page, farm)
    expect(main.get_by_text("Local codes and licensed practice come first")).to_be_visible()
    main.get_by_role("button", name="Start gluing").click()
    main.get_by_role("radio", name="Sale").click()

    # A label that is on another piece is refused with a sentence; nothing is saved for it.
    write_camera(camera, farm.code)
    page.reload()
    expect(main.get_by_text("This base was not saved").first).to_be_visible(timeout=30_000)
    write_camera(camera, farm.spare)
    page.reload()
    expect(main.get_by_text(display(farm.spare)).first).to_be_visible(timeout=30_000)
    expect(main.get_by_role("heading", name="1 piece glued")).to_be_visible(timeout=30_000)

    page.goto(f"{farm.base}/waiting")
    expect(page.get_by_text("Everything is sent")).to_be_visible(timeout=30_000)
    rows = farm.ask("SELECT record FROM log WHERE kind IN ('cut', 'glue') ORDER BY seq DESC")
    glue, cut = (json.loads(row["record"]) for row in rows[:2])
    assert cut["body"]["mother"] == farm.mother
    assert glue["body"] == {
        "cut": cut["subject"]["id"], "base": "base.hex-40", "purpose": "sale",
        "code": farm.spare,
    }  # fmt: skip
