"""Every screen and sheet for people and phones, filled, with a name as long as names get: measured
as `measuring` says, at every width and in both colour schemes."""

import re
from collections.abc import Iterator

import msgspec
import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.farm import Farm, Served
from tests.browser.measuring import Found, Measured
from tests.browser.people import RUI, add_person, paired
from tests.browser.walk_state import State
from tests.sync.phone import NOW, Phone

NAME = "Maximiliane Featherstonehaugh-Wigglesworth"
"""Long enough to push a button out of a narrow phone, if anything lets it."""
LEAD = {
    "people": ("/people", []),
    "add": ("/people", ["Add a person"]),
    "change": ("/people", [f"Change {NAME}"]),
    "pin": ("/people", [f"Change {NAME}", "Set a new PIN"]),
    "sign out": ("/people", [f"Change {NAME}", "Sign out for good"]),
    "phones": ("/phones", []),
    "phone": ("/phones", ["Change “Computer”"]),
    "phone out": ("/phones", ["Change “Computer”", "Sign this phone out for good"]),
    "for whom": ("/phones/pair", ["One person’s own"]),
    "code": ("/phones/pair", ["Show the code"]),
    "held": ("/held", []),
    "admit": ("/held", ["Admit"]),
    "set aside": ("/held", ["Set aside"]),
    "changes": ("/changes", []),
    "you": ("/you", []),
    "setup": ("/setup", []),
}
SHARED = {
    "crew": ("/hold", []),
    "pad": ("/hold", [NAME]),
    "nobody": ("/people", []),
    "shared": ("/sign-in", []),
    "nobody is you": ("/you", []),
    "setup to look at": ("/setup", []),
}
STRANGER = {"way in": ("/sign-in", []), "password": ("/sign-in", ["Sign in as an owner"])}
WET = ("crew", "pad")
SHOWS = {"code": re.compile("Works once")}


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Farm]:
    """One farm for all screens: they only look."""
    server = Served(tmp_path_factory.mktemp("farm"))
    yield server.start()
    server.stop()


@pytest.fixture(scope="module")
def phones(browser: Browser, farm: Farm) -> Iterator[dict[str, Page]]:
    """An owner's, a shared one that nobody holds and an unknown one; records held for a lead."""
    made = [browser.new_context(viewport={"width": 390, "height": 844}, bypass_csp=True)
            for _ in range(3)]  # fmt: skip
    owner, shared, stranger = made
    page = owner.new_page()
    page.goto(farm.link())
    page.wait_for_url("**/scan", timeout=30_000)
    add_person(page, farm, NAME, RUI)
    there = paired(page, farm, shared)
    hold_records(page, farm)
    yield {"lead": page, "shared": there, "stranger": stranger.new_page()}
    for context in made:
        context.close()


def hold_records(page: Page, farm: Farm) -> None:
    """Two checks of an unknown phone, as from a saved file, and one that cannot be taken at all."""
    lost = Phone("lost")
    records = [lost.check(farm.piece), lost.check(farm.piece), {"id": lost.id(), "kind": "comet"}]
    body = msgspec.json.decode(lost.batch(records, NOW))
    status = page.evaluate(
        """body => fetch('/api/sync/take-in', {method: 'POST', body: JSON.stringify(body),
             headers: {'content-type': 'application/json'}}).then((answer) => answer.status)""",
        body,
    )
    assert status == 200


def wrong(page: Page, farm: Farm, state: str, path: str, taps: list[str]) -> Found:
    """Open a screen, tap through to a state of it and measure that."""
    page.goto(farm.base + path)
    expect(page.locator("main :is(h1, h2)").first).to_be_visible()
    expect(page.get_by_text(re.compile("^(Opening|Asking the server)…$"))).to_have_count(0)
    for tap in taps:
        page.get_by_role("button", name=tap).or_(page.get_by_role("radio", name=tap)).first.click()
    if taps:
        expect(page.get_by_text(SHOWS.get(state, re.compile("."))).first).to_be_visible()
    wet = state in WET
    return Measured(page).state(State(state, glare=wet, wet=wet))


@pytest.mark.parametrize("state", LEAD)
def test_a_leads_screen(phones: dict[str, Page], farm: Farm, state: str) -> None:
    assert wrong(phones["lead"], farm, state, *LEAD[state]) == {}


@pytest.mark.parametrize("state", SHARED)
def test_a_shared_phones_screen(phones: dict[str, Page], farm: Farm, state: str) -> None:
    assert wrong(phones["shared"], farm, state, *SHARED[state]) == {}


@pytest.mark.parametrize("state", STRANGER)
def test_an_unknown_phones_screen(phones: dict[str, Page], farm: Farm, state: str) -> None:
    assert wrong(phones["stranger"], farm, state, *STRANGER[state]) == {}
