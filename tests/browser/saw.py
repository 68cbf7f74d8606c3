"""At the saw, as far as the base that pieces are glued to."""

from playwright.sync_api import Locator, Page

from labels import display
from tests.browser.farm import WIDE, Farm


def at_the_saw(page: Page, farm: Farm) -> Locator:
    """A sitting is opened, the mother chosen, the way of cutting and the base; the page's main."""
    page.goto(f"{farm.base}/cuts")
    main = page.locator("main")
    main.get_by_role("button", name="Start at the saw").click()
    main.get_by_role("button", name="Open the sitting").click()
    main.get_by_text(display(WIDE[0])).click()
    main.get_by_role("radio", name="Band saw").click()
    main.get_by_role("radio", name="Hexagonal tile 40 mm").click()
    return main
