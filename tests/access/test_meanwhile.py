"""What was begun before somebody was signed out, and arrives whole only afterwards."""

import asyncio
from collections.abc import Awaitable, Callable
from typing import Any

import msgspec
import pytest

from api import slow_body
from api.database import Database
from api.records.clock import now_ms
from tests.access.conftest import Browser
from tests.access.slow import post_slowly
from tests.access.test_quarantine import Opener, log, note, told, waiting
from tests.access.test_staff import add, pair

OUT = (401, "signed-out")


@pytest.fixture
def lead(browse: Opener, owner: Browser) -> Browser:
    phone = browse()
    pair(owner, phone, add(owner, "Tove Reed", "lead")["id"], "Tove's phone")
    return phone


def ask(browser: Browser, path: str, body: Any, between: Callable[[], Awaitable[None]]) -> Any:
    status, answer = post_slowly(browser.client, path, msgspec.json.encode(body), between)
    return status, answer["code"]


def farms(browser: Browser) -> Database:
    app: Any = browser.client.app  # type: ignore[attr-defined]
    found: Database = app.state.db
    return found


def changing(browser: Browser, statement: str, *values: Any) -> Callable[[], Awaitable[None]]:
    """A change that another request would make, committed as it would be."""

    async def change() -> None:
        async with farms(browser).write() as tx:
            await tx.many(statement, [values])

    return change


def written(browser: Browser) -> list[int]:
    """How many rows there are of what requests write."""

    async def count() -> list[int]:
        tables = ("staff", "link", "label_code", "audit")
        found = [await farms(browser).rows(f"SELECT COUNT(*) AS n FROM {t}") for t in tables]
        return [row["n"] for [row] in found]

    client: Any = browser.client
    counted: list[int] = client.blocking_portal.call(count)
    return counted


def revoking(lead: Browser) -> dict[str, Callable[[], Awaitable[None]]]:
    device, staff = lead.me["device"]["id"], lead.me["staff"]["id"]
    return {
        "device": changing(lead, "UPDATE device SET removed_at = 1 WHERE id = ?", device),
        "person": changing(lead, "UPDATE staff SET left_at = 1 WHERE id = ?", staff),
        "session": changing(lead, "UPDATE session SET ended_at = 1 WHERE device = ?", device),
    }


@pytest.mark.parametrize("what", ["device", "person", "session"])
@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/api/people", {"name": "Mallory", "role": "keeper"}),
        ("/api/devices/pair", {"staff": None}),
        ("/api/labels/mint", {"count": 1}),
    ],
)
def test_nothing_is_done_for_who_was_signed_out_meanwhile(
    owner: Browser, lead: Browser, what: str, path: str, body: Any
) -> None:
    before = written(owner)
    assert ask(lead, path, body, revoking(lead)[what]) == OUT
    assert written(owner) == before


def test_who_became_a_keeper_meanwhile_does_not_do_a_leads_things(
    owner: Browser, lead: Browser
) -> None:
    demoted = changing(
        lead, "UPDATE staff SET role = 'keeper' WHERE id = ?", lead.me["staff"]["id"]
    )
    body = {"name": "Mallory", "role": "keeper"}
    assert ask(lead, "/api/people", body, demoted) == (403, "not-allowed")
    assert [p["name"] for p in owner.get("/api/people")[1]["people"]] == ["Owner", "Tove Reed"]


@pytest.mark.parametrize("what", ["themselves", "another"])
def test_who_was_lowered_meanwhile_makes_no_owner(
    browse: Opener, owner: Browser, what: str
) -> None:
    """The address is a lead's; what is asked there is an owner's."""
    second = browse()
    pair(owner, second, add(owner, "Ines Sol", "owner")["id"])
    me = second.me["staff"]["id"]
    lowered = changing(second, "UPDATE staff SET role = 'lead' WHERE id = ?", me)
    path, body = {
        "themselves": (f"/api/people/{me}/change", {"role": "owner"}),
        "another": ("/api/people", {"name": "Mallory", "role": "owner"}),
    }[what]
    assert ask(second, path, body, lowered) == (403, "not-allowed")
    people = owner.get("/api/people")[1]["people"]
    assert [(p["name"], p["role"]) for p in people] == [("Ines Sol", "lead"), ("Owner", "owner")]


def test_a_shared_phone_that_changed_hands_meanwhile_does_nothing_for_who_held_it(
    browse: Opener, owner: Browser
) -> None:
    shared = browse()
    pair(owner, shared, None, "Shared phone")
    held = [add(owner, name, role, pin="2580") for name, role in
            (("Tove Reed", "lead"), ("Ines Sol", "lead"))]  # fmt: skip
    shared.done("/api/access/hold", {"staff": held[0]["id"], "pin": "2580"})
    handed = changing(shared, "UPDATE session SET holder = ? WHERE holder = ?",
                 held[1]["id"], held[0]["id"])  # fmt: skip
    body = {"name": "Mallory", "role": "keeper"}
    assert ask(shared, "/api/people", body, handed) == (401, "not-held")
    phone = shared.recorder()
    batch = phone.batch([note(phone, "whose?")], now_ms())
    back = changing(shared, "UPDATE session SET holder = ? WHERE holder = ?",
               held[0]["id"], held[1]["id"])  # fmt: skip
    status, answer = post_slowly(shared.client, "/api/sync/push", batch, back)
    assert (status, answer["code"], log(owner)) == (401, "not-held", [])


@pytest.mark.parametrize(
    ("what", "why"), [("device", "device-revoked"), ("person", "person-revoked")]
)
def test_records_of_who_was_signed_out_meanwhile_wait_for_a_lead(
    owner: Browser, lead: Browser, what: str, why: str
) -> None:
    phone = lead.recorder()
    batch = phone.batch([note(phone, "seen before")], now_ms())
    status, answer = post_slowly(lead.client, "/api/sync/push", batch, revoking(lead)[what])
    assert (status, told(answer), log(owner)) == (200, ["later"], [])
    assert waiting(owner) == [["Tove's phone", "Tove Reed", why, 1, {"note": 1}]]


def test_a_session_that_ended_meanwhile_sends_nothing(owner: Browser, lead: Browser) -> None:
    phone = lead.recorder()
    batch = phone.batch([note(phone, "seen before")], now_ms())
    ended = revoking(lead)["session"]
    status, answer = post_slowly(lead.client, "/api/sync/push", batch, ended)
    assert (status, answer["code"], log(owner), waiting(owner)) == (*OUT, [], [])


@pytest.mark.parametrize("path", ["/api/sync/push", "/api/people"])
def test_a_phone_that_hangs_up_is_no_fault_of_the_servers(
    owner: Browser, caplog: pytest.LogCaptureFixture, path: str
) -> None:
    async def hang_up() -> bool:
        return False

    status, answer = post_slowly(owner.client, path, b'{"name": "half', hang_up)
    assert (status, answer["code"], caplog.records) == (400, "hung-up", [])


@pytest.mark.parametrize("path", ["/api/sync/push", "/api/people"])
def test_a_body_that_takes_too_long_is_not_waited_for(
    owner: Browser, monkeypatch: pytest.MonkeyPatch, path: str
) -> None:
    monkeypatch.setattr(slow_body, "BODY_SECONDS", 0.05)

    async def never() -> None:
        await asyncio.sleep(30)

    assert ask(owner, path, {}, never) == (408, "too-slow")
