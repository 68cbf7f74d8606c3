"""People: added, renamed, given a role or a PIN, signed out for good, taken back; the audit."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from tests.access.conftest import Browser


def add(by: Browser, name: str, role: str = "keeper", **more: str) -> Any:
    return by.done("/api/people", {"name": name, "role": role, **more})


def pair(by: Browser, phone: Browser, staff: str | None, name: str = "phone") -> Any:
    return phone.claim(by.done("/api/devices/pair", {"staff": staff})["token"], name)


def code(answer: tuple[int, Any]) -> tuple[int, str]:
    return answer[0], answer[1]["code"]


@pytest.fixture
def lead(browse: Callable[[], Browser], owner: Browser) -> Browser:
    found = browse()
    pair(owner, found, add(owner, "Ilse Marrow", "lead")["id"])
    return found


def test_a_person_is_added_and_listed(owner: Browser) -> None:
    made = add(owner, "Tove Reed", pin="4711")
    assert made == {"id": made["id"], "name": "Tove Reed", "role": "keeper", "has_pin": True,
                    "made_at": made["made_at"], "left_at": None}  # fmt: skip
    status, listed = owner.get("/api/people")
    assert (status, [one["name"] for one in listed["people"]]) == (200, ["Owner", "Tove Reed"])
    assert listed["people"][1] == made


def test_a_change_leaves_alone_what_it_does_not_name(owner: Browser) -> None:
    staff = add(owner, "Tove Reed")["id"]
    renamed = owner.done(f"/api/people/{staff}/change", {"name": "Tove Sedge"})
    assert (renamed["name"], renamed["role"]) == ("Tove Sedge", "keeper")
    raised = owner.done(f"/api/people/{staff}/change", {"role": "lead"})
    assert (raised["name"], raised["role"]) == ("Tove Sedge", "lead")


def test_who_is_raised_comes_back_in_by_new_means_only(
    browse: Callable[[], Browser], owner: Browser
) -> None:
    """A lead may know a keeper's PIN, and may have paired a phone as theirs."""
    staff = add(owner, "Tove Reed", pin="8305")["id"]
    own, shared = browse(), browse()
    pair(owner, own, staff)
    pair(owner, shared, None)
    shared.done("/api/access/hold", {"staff": staff, "pin": "8305"})
    raised = owner.done(f"/api/people/{staff}/change", {"role": "lead"})
    assert (raised["role"], raised["has_pin"]) == ("lead", False)
    assert code(own.get("/api/people")) == (401, "signed-out")
    assert code(shared.get("/api/people")) == (401, "not-held")
    assert code(shared.post("/api/access/hold", {"staff": staff, "pin": "8305"})) == (409, "no-pin")
    pair(owner, own, staff)
    owner.done(f"/api/people/{staff}/pin", {"pin": "5038"})
    lowered = owner.done(f"/api/people/{staff}/change", {"role": "keeper"})
    assert (lowered["role"], lowered["has_pin"], own.get("/api/people")[0]) == ("keeper", True, 200)


def test_an_owner_whose_name_is_of_earlier_days_still_gets_in(
    browse: Callable[[], Browser], owner: Browser, tmp_path: Path
) -> None:
    password, name = "correct horse battery staple", "\u200fדנה"
    owner.done("/api/access/password", {"password": password})
    with closing(sqlite3.connect(tmp_path / "nubbin.sqlite", timeout=10)) as farm:
        farm.execute("UPDATE staff SET name = ?", (name,))
        farm.commit()
    asked = {"name": name, "password": password, "device_name": "Desk"}
    assert browse().done("/api/access/enter", asked)["staff"]["name"] == name


@pytest.mark.parametrize(
    "name",
    [
        " ",
        "--",
        "\u202eevoT",
        "Tove\u0000",
        "Tove\nReed",
        "\u200f",
        "x" * 121,
        "Tove Reed\n",
        "Tove Reed\u200b",
        "Tove\u00ad Reed",
        "Tove Reed\u061c",
        " Tove Reed",
        "\u3164",
    ],
)
def test_names_that_nobody_could_tell_apart_are_not_taken(owner: Browser, name: str) -> None:
    staff = add(owner, "Tove Reed")["id"]
    device = owner.me["device"]["id"]
    tries = [
        owner.post("/api/people", {"name": name, "role": "keeper"}),
        owner.post(f"/api/people/{staff}/change", {"name": name}),
        owner.post(f"/api/devices/{device}/change", {"name": name}),
    ]
    assert [code(one) for one in tries] == [(400, "bad-body")] * 3
    assert [p["name"] for p in owner.get("/api/people")[1]["people"]] == ["Owner", "Tove Reed"]


@pytest.mark.parametrize("name", ["Łucja", "นิภา", "معاذ", "O’Tide", "7", "Ana-Lu 🐠"])
def test_names_in_any_script_are_taken(owner: Browser, name: str) -> None:
    assert add(owner, name)["name"] == name


def test_a_lead_looks_after_keepers_only(owner: Browser, lead: Browser) -> None:
    keeper = add(lead, "Tove Reed")["id"]
    lead.done(f"/api/people/{keeper}/pin", {"pin": "8305"})
    boss = owner.me["staff"]["id"]
    tries = [
        ("/api/people", {"name": "Another", "role": "lead"}),
        (f"/api/people/{keeper}/change", {"role": "owner"}),
        (f"/api/people/{boss}/change", {"name": "Nobody"}),
        (f"/api/people/{boss}/pin", {"pin": "8305"}),
        (f"/api/people/{boss}/revoke", None),
        ("/api/devices/pair", {"staff": boss}),
    ]
    assert [code(lead.post(*one)) for one in tries] == [(403, "not-allowed")] * len(tries)
    assert lead.done("/api/devices/pair", {"staff": lead.me["staff"]["id"]})["token"]
    assert lead.done(f"/api/people/{keeper}/revoke")["left_at"] is not None


def test_the_farm_keeps_an_owner(owner: Browser) -> None:
    boss = owner.me["staff"]["id"]
    assert code(owner.post(f"/api/people/{boss}/change", {"role": "lead"})) == (409, "last-owner")
    assert code(owner.post(f"/api/people/{boss}/revoke")) == (409, "last-owner")
    add(owner, "Second Owner", "owner")
    assert owner.done(f"/api/people/{boss}/change", {"role": "lead"})["role"] == "lead"


def test_who_was_revoked_is_out_at_once_and_may_come_back(
    browse: Callable[[], Browser], owner: Browser
) -> None:
    staff, phone = add(owner, "Tove Reed")["id"], browse()
    pair(owner, phone, staff)
    assert phone.get("/api/people")[0] == 200
    assert owner.done(f"/api/people/{staff}/revoke")["left_at"] is not None
    assert code(phone.get("/api/people")) == (401, "signed-out")
    assert code(owner.post("/api/devices/pair", {"staff": staff})) == (404, "no-such-person")
    assert owner.done(f"/api/people/{staff}/restore")["left_at"] is None
    assert code(phone.get("/api/people")) == (401, "signed-out"), "the phone may be why"
    pair(owner, phone, staff)
    assert phone.get("/api/people")[0] == 200


@pytest.mark.parametrize(
    "pin", ["123", "123456789", "1111", "4567", "9876", "0123", "12a4", "٤٧١١"]
)
def test_pins_that_are_guessed_first_are_not_taken(owner: Browser, pin: str) -> None:
    answer = owner.post("/api/people", {"name": "Tove Reed", "role": "keeper", "pin": pin})
    assert code(answer) == (422, "weak-pin")
    assert len(owner.get("/api/people")[1]["people"]) == 1


def test_ones_own_pin_asks_for_the_old_one(owner: Browser) -> None:
    owner.done("/api/access/pin", {"pin": "8305"})
    assert code(owner.post("/api/access/pin", {"pin": "2468"})) == (403, "wrong-pin")
    assert code(owner.post("/api/access/pin", {"pin": "2468", "old": "8306"})) == (403, "wrong-pin")
    around = f"/api/people/{owner.me['staff']['id']}/pin"
    assert code(owner.post(around, {"pin": "2468"})) == (403, "forbidden")
    owner.done("/api/access/pin", {"pin": "2468", "old": "8305"})


@pytest.mark.parametrize("path", ["change", "pin", "revoke", "restore"])
def test_nobody_has_that_key(owner: Browser, path: str) -> None:
    body = {"change": {"name": "X"}, "pin": {"pin": "8305"}}.get(path)
    assert code(owner.post(f"/api/people/staff.nobody/{path}", body)) == (404, "no-such-person")
    assert owner.post(f"/api/people/No%20Key/{path}", body)[0] in (400, 404)


def test_the_audit_list_says_who_did_what(owner: Browser) -> None:
    staff = add(owner, "Tove Reed", pin="8305")["id"]
    owner.done(f"/api/people/{staff}/change", {"name": "Tove Sedge"})
    owner.done(f"/api/people/{staff}/revoke")
    boss, desk = owner.me["staff"]["id"], owner.me["device"]["id"]
    status, told = owner.get("/api/audit?limit=3")
    told.pop("epoch")
    ids = [one.pop("id") for one in told["entries"]]
    times = [one.pop("at") for one in told["entries"]]
    by = {"who": boss, "device": desk, "about": staff}
    assert (status, told) == (200, {"more": True, "entries": [
        {**by, "what": "person-revoked", "detail": {}},
        {**by, "what": "person-changed", "detail": {"name": "Tove Sedge", "role": None}},
        {**by, "what": "person-added", "detail": {"name": "Tove Reed", "role": "keeper"}},
    ]})  # fmt: skip
    assert (ids, times) == (sorted(ids, reverse=True), sorted(times, reverse=True))
    earlier = owner.get(f"/api/audit?before={ids[-1]}")[1]
    assert [one["what"] for one in earlier["entries"]] == [
        "device-paired", "link-made", "person-added",
    ]  # fmt: skip
    assert not earlier["more"]
    assert "8305" not in str(owner.get("/api/audit")[1])
