"""Phones: paired by a one-time code, named, signed out for good; shared ones held by PIN."""

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.access.conftest import Browser
from tests.access.test_staff import add, code, pair

Opener = Callable[[], Browser]


def sql(folder: Path, statement: str) -> None:
    with sqlite3.connect(folder / "nubbin.sqlite", timeout=10) as connection:
        connection.execute(statement)
    connection.close()


def shared(owner: Browser, browse: Opener) -> Browser:
    phone = browse()
    pair(owner, phone, None, "Tank phone")
    return phone


def test_a_phone_of_ones_own(browse: Opener, owner: Browser) -> None:
    staff, phone = add(owner, "Tove Reed")["id"], browse()
    pairing = owner.done("/api/devices/pair", {"staff": staff})
    assert pairing["address"] == f"http://farm.example/sign-in#{pairing['token']}"
    me = phone.claim(pairing["token"], "Tove's phone")
    assert me["staff"] == {"id": staff, "name": "Tove Reed", "role": "keeper"}
    assert me["device"] == {"id": me["device"]["id"], "name": "Tove's phone", "shared": False}
    found = owner.get("/api/devices")[1]["devices"]
    assert [(d["name"], d["holder"], d["shared"], d["removed_at"]) for d in found] == [
        ("Desk", owner.me["staff"]["id"], False, None), ("Tove's phone", staff, False, None),
    ]  # fmt: skip


def test_a_code_opens_one_phone_for_five_minutes(
    browse: Opener, owner: Browser, tmp_path: Path
) -> None:
    token = owner.done("/api/devices/pair", {"staff": None})["token"]
    question = {"token": token, "device_name": "phone"}
    assert browse().post("/api/access/claim", question)[0] == 200
    assert code(browse().post("/api/access/claim", question)) == (403, "link-used")
    late = owner.done("/api/devices/pair", {"staff": None})
    sql(tmp_path, "UPDATE link SET expires_at = 1 WHERE used_at IS NULL")
    question["token"] = late["token"]
    assert code(browse().post("/api/access/claim", question)) == (403, "link-expired")


def test_a_shared_phone_asks_who_holds_it(browse: Opener, owner: Browser) -> None:
    tove, ilse = add(owner, "Tove Reed", pin="8305")["id"], add(owner, "Ilse Marrow")["id"]
    phone = shared(owner, browse)
    assert phone.me["staff"] is None
    assert phone.me["device"]["shared"]
    assert code(phone.get("/api/people")) == (401, "not-held")
    assert phone.get("/api/access/crew")[1]["crew"] == [
        {"id": ilse, "name": "Ilse Marrow", "has_pin": False},
        {"id": owner.me["staff"]["id"], "name": "Owner", "has_pin": False},
        {"id": tove, "name": "Tove Reed", "has_pin": True},
    ]
    assert phone.done("/api/access/hold", {"staff": tove, "pin": "8305"})["staff"]["id"] == tove
    assert phone.get("/api/people")[0] == 200
    phone.done("/api/access/release")
    assert phone.me["staff"] is None
    assert code(phone.post("/api/access/hold", {"staff": ilse, "pin": "8305"})) == (409, "no-pin")


def test_the_wrong_pin_is_counted_and_then_waits(
    browse: Opener, owner: Browser, tmp_path: Path
) -> None:
    tove = add(owner, "Tove Reed", pin="8305")["id"]
    phone, other = shared(owner, browse), shared(owner, browse)
    wrong = {"staff": tove, "pin": "8306"}
    told = [phone.post("/api/access/hold", wrong)[1] for _ in range(6)]
    assert [one["code"] for one in told] == ["wrong-pin"] * 4 + ["pin-locked"] * 2
    assert [one.get("tries_left") for one in told[:4]] == [4, 3, 2, 1]
    assert told[4]["wait_s"] == 60
    assert told[4]["detail"] == "Nothing was changed. Wait 1 minute, then try again."
    right = {"staff": tove, "pin": "8305"}
    assert code(phone.post("/api/access/hold", right)) == (429, "pin-locked")
    assert other.done("/api/access/hold", right)["staff"]["id"] == tove, "another phone is open"
    sql(tmp_path, "UPDATE attempt SET until = until - 3600000")
    assert phone.post("/api/access/hold", wrong)[1]["wait_s"] == 120
    sql(tmp_path, "UPDATE attempt SET until = until - 3600000")
    assert phone.done("/api/access/hold", right)["staff"]["id"] == tove
    phone.done("/api/access/release")
    assert phone.post("/api/access/hold", wrong)[1]["tries_left"] == 4, "counting begins again"
    whats = [one["what"] for one in owner.get("/api/audit")[1]["entries"]]
    assert whats.count("pin-locked") == 2


def test_more_phones_are_no_more_guesses(browse: Opener, owner: Browser) -> None:
    tove = add(owner, "Tove Reed", pin="8305")["id"]
    told = []
    for _ in range(6):
        phone = shared(owner, browse)
        told += [code(phone.post("/api/access/hold", {"staff": tove, "pin": "9021"}))[1]
                 for _ in range(4)]  # fmt: skip
    assert told == ["wrong-pin"] * 19 + ["pin-locked"] * 5


def test_a_new_pin_ends_the_waiting(browse: Opener, owner: Browser) -> None:
    tove, phone = add(owner, "Tove Reed", pin="8305")["id"], shared(owner, browse)
    for _ in range(5):
        phone.post("/api/access/hold", {"staff": tove, "pin": "0000"})
    owner.done(f"/api/people/{tove}/pin", {"pin": "2580"})
    assert phone.done("/api/access/hold", {"staff": tove, "pin": "2580"})["staff"]["id"] == tove


def test_who_was_revoked_holds_a_shared_phone_no_more(browse: Opener, owner: Browser) -> None:
    tove, phone = add(owner, "Tove Reed", pin="8305")["id"], shared(owner, browse)
    phone.done("/api/access/hold", {"staff": tove, "pin": "8305"})
    owner.done(f"/api/people/{tove}/revoke")
    assert code(phone.get("/api/people")) == (401, "not-held")
    assert phone.get("/api/me")[1]["staff"] is None
    assert tove not in [one["id"] for one in phone.get("/api/access/crew")[1]["crew"]]
    answer = phone.post("/api/access/hold", {"staff": tove, "pin": "8305"})
    assert code(answer) == (404, "no-such-person")


def test_ones_own_phone_is_not_handed_on(owner: Browser) -> None:
    answer = owner.post("/api/access/hold", {"staff": owner.me["staff"]["id"], "pin": "8305"})
    assert code(answer) == (409, "not-shared")
    assert code(owner.post("/api/access/release")) == (409, "not-shared")


def test_a_phone_is_named_and_signed_out_for_good(browse: Opener, owner: Browser) -> None:
    phone = browse()
    device = pair(owner, phone, owner.me["staff"]["id"])["device"]["id"]
    assert owner.done(f"/api/devices/{device}/change", {"name": "Saw phone"})["name"] == "Saw phone"
    assert phone.me["device"]["name"] == "Saw phone"
    assert owner.done(f"/api/devices/{device}/revoke")["removed_at"] is not None
    assert code(phone.get("/api/me")) == (401, "signed-out")
    again = pair(owner, phone, owner.me["staff"]["id"])
    assert again["device"]["id"] != device, "revoked, it is a new device"


@pytest.mark.parametrize("path", ["change", "revoke"])
def test_no_such_phone(owner: Browser, path: str) -> None:
    answer = owner.post(
        f"/api/devices/device.none/{path}", {"name": "X"} if path == "change" else None
    )
    assert code(answer) == (404, "no-such-device")


def test_an_owner_signs_in_by_password(browse: Opener, owner: Browser, tmp_path: Path) -> None:
    assert code(owner.post("/api/access/password", {"password": "short"})) == (422, "weak-password")
    long = "seven wet gloves on a wall"
    question = {"name": "owner", "password": long, "device_name": "Laptop"}
    desk = browse()
    assert code(desk.post("/api/access/enter", question)) == (403, "wrong-password")
    owner.done("/api/access/password", {"password": long})
    assert desk.done("/api/access/enter", question)["staff"]["name"] == "Owner"
    longer = long + "!"
    assert code(owner.post("/api/access/password", {"password": longer})) == (403, "wrong-password")
    owner.done("/api/access/password", {"password": longer, "old": long})
    told = [browse().post("/api/access/enter", question)[1] for _ in range(5)]
    assert [one["code"] for one in told] == ["wrong-password"] * 4 + ["pin-locked"]
    sql(tmp_path, "UPDATE attempt SET until = until - 3600000")
    question["password"] = longer
    assert browse().done("/api/access/enter", question)["staff"]["role"] == "owner"
