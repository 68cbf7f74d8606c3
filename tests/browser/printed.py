"""What was printed, as a person keeps it and a reader reads it; what the server has it on."""

from pathlib import Path

import zxingcpp
from playwright.sync_api import Page

from tests.browser.farm import Farm
from tests.labels import reading

ADDRESS = "HTTPS://LABELS.EXAMPLE/Q/"


def minted(farm: Farm) -> set[str]:
    return {row["code"] for row in farm.ask("SELECT code FROM label_code")}


def holders(farm: Farm, codes: set[str]) -> dict[str, str]:
    """By code, the piece that the server has it on."""
    rows = farm.ask("SELECT code, piece FROM claim")
    return {row["code"]: row["piece"] for row in rows if row["code"] in codes}


def kept(page: Page, folder: Path) -> bytes:
    """The sheet that was made, as a person keeps it."""
    with page.expect_download() as download:
        page.get_by_role("link", name="Keep the file").click()
    path = folder / "sheet.pdf"
    download.value.save_as(path)
    return path.read_bytes()


def read_codes(pdf: bytes) -> set[str]:
    return {
        found.text.removeprefix(ADDRESS)
        for one in reading.pages(pdf, 200)
        for found in zxingcpp.read_barcodes(one)
    }
