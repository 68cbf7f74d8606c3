"""Two requests at once: what one of them ends opens nothing for the other."""

import asyncio
from collections.abc import Awaitable, Callable
from contextvars import Context
from typing import Any

import pytest

from api.access import devices, people, secret
from api.access.person import Person
from api.records.clock import now_ms
from tests.access.conftest import Browser
from tests.access.test_meanwhile import farms, lead
from tests.access.test_quarantine import Opener
from tests.access.test_staff import add, pair

__all__ = ["lead"]
BOSS = Person("staff.boss", "device.boss", "owner", "Boss", "")
Ending = Callable[[Any, str], Awaitable[Any]]
ENDINGS: dict[str, Ending] = {
    "raised": lambda db, staff: people.change(db, BOSS, staff, None, "owner", now_ms()),
    "given another PIN": lambda db, staff: people.set_pin(db, BOSS, staff, "5038", now_ms()),
    "signed out": lambda db, staff: people.revoke(db, BOSS, staff, now_ms()),
}


@pytest.mark.parametrize("what", ENDINGS)
def test_a_pin_that_is_gone_while_it_is_judged_holds_nothing(
    browse: Opener, owner: Browser, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    staff = add(owner, "Tove Reed", pin="8305")["id"]
    shared = browse()
    pair(owner, shared, None)
    fits = secret.fits

    async def slowly(hashed: str | None, pin: str) -> bool:
        right = await fits(hashed, pin)
        # Another request's doing, so not under what this one was let in for.
        ending = ENDINGS[what](farms(shared), staff)
        await asyncio.get_running_loop().create_task(_done(ending), context=Context())
        return right

    monkeypatch.setattr(secret, "fits", slowly)
    status, answer = shared.post("/api/access/hold", {"staff": staff, "pin": "8305"})
    assert (status, answer["code"], shared.me["staff"]) == (403, "wrong-pin", None)


async def _done(work: Awaitable[Any]) -> Any:
    return await work


def test_a_code_asked_for_while_its_person_is_raised_is_no_leads_way_up(
    browse: Opener, owner: Browser, lead: Browser
) -> None:
    me = lead.me
    by = Person(me["staff"]["id"], me["device"]["id"], "lead", "Tove Reed", "")

    async def both(staff: str) -> Any:
        db = farms(lead)
        return await asyncio.gather(
            devices.pair(db, by, staff, now_ms()), ENDINGS["raised"](db, staff),
            return_exceptions=True,
        )  # fmt: skip

    for number in range(6):
        staff = add(owner, f"Keeper {number}")["id"]
        client: Any = lead.client
        made, _ = client.blocking_portal.call(both, staff)
        if isinstance(made, tuple):
            claim = {"token": made[0], "device_name": "phone"}
            assert browse().post("/api/access/claim", claim)[0] == 403, "withdrawn by the raise"


def claimed(browse: Opener, token: str) -> int:
    return browse().post("/api/access/claim", {"token": token, "device_name": "phone"})[0]


@pytest.mark.parametrize("what", ["raised", "signed out and let in again"])
def test_a_code_made_before_opens_nothing_after(
    browse: Opener, owner: Browser, lead: Browser, what: str
) -> None:
    staff = add(owner, "Ines Sol")["id"]
    token = lead.done("/api/devices/pair", {"staff": staff})["token"]
    if what == "raised":
        owner.done(f"/api/people/{staff}/change", {"role": "owner"})
    else:
        owner.done(f"/api/people/{staff}/revoke")
        owner.done(f"/api/people/{staff}/restore")
    assert claimed(browse, token) == 403


@pytest.mark.parametrize("what", ["phone", "person"])
def test_a_lead_signed_out_comes_back_by_no_code_of_their_own_making(
    browse: Opener, owner: Browser, lead: Browser, what: str
) -> None:
    me, keeper = lead.me, add(owner, "Ines Sol")["id"]
    own, other = (
        lead.done("/api/devices/pair", {"staff": staff})["token"]
        for staff in (me["staff"]["id"], keeper)
    )
    where = {"phone": f"devices/{me['device']['id']}", "person": f"people/{me['staff']['id']}"}
    owner.done(f"/api/{where[what]}/revoke")
    assert [claimed(browse, own), claimed(browse, other)] == [403, 403]
