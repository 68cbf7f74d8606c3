"""What a revoked, unknown or unentitled sender still had is held, and a lead decides."""

from collections.abc import Callable
from typing import Any

import pytest

from tests.access.conftest import Browser
from tests.access.test_staff import add, code, pair
from tests.sync.phone import Phone

Opener = Callable[[], Browser]
PIECE = "0190b0c8-7a3e-7000-8000-000000000001"


@pytest.fixture
def keeper(browse: Opener, owner: Browser) -> Browser:
    phone = browse()
    pair(owner, phone, add(owner, "Tove Reed")["id"], "Tove's phone")
    return phone


def waiting(lead: Browser) -> list[Any]:
    found = lead.get("/api/quarantine")[1]["groups"]
    return [[g["device_name"], g["staff_name"], g["why"], g["count"], g["kinds"]] for g in found]


def which(lead: Browser, place: int = 0) -> dict[str, str]:
    group = lead.get("/api/quarantine")[1]["groups"][place]
    return {name: group[name] for name in ("device", "staff", "why")}


def log(lead: Browser) -> list[Any]:
    return [entry["record"] for entry in lead.get("/api/sync/pull")[1]["entries"]]


def tray(phone: Phone, name: str) -> dict[str, Any]:
    return phone.make(
        "define", ("item", f"tray.{name}"), {"list": "tray", "fields": {"name": name}}
    )


def note(phone: Phone, text: str) -> dict[str, Any]:
    return phone.make("note", ("item", "settings"), {"text": text})


def told(answers: Any) -> list[str]:
    return [one["answer"] for one in answers["answers"]]


def test_a_revoked_phone_hands_over_500_records_and_gets_nothing_else(
    owner: Browser, keeper: Browser
) -> None:
    desk = owner.recorder(1)
    owner.push(
        desk, [desk.make("define", ("item", "settings"), {"list": "settings", "fields": {}})]
    )
    phone = keeper.recorder()
    records = [note(phone, f"look {number}") for number in range(500)]
    owner.done(f"/api/devices/{phone.name}/revoke")
    answers = keeper.push(phone, records)
    assert told(answers) == ["later"] * 500
    assert answers["answers"][0]["notes"] == [
        "This phone was signed out for good. It is held safely until a lead admits it."
    ]
    assert answers["device_seq"] == {"highest": 500, "missing": []}
    assert told(keeper.push(phone, records[:3])) == ["later"] * 3, "said again, held once"
    for path in ("/api/me", "/api/sync/pull", "/api/people"):
        assert code(keeper.get(path)) == (401, "signed-out")
    assert len(log(owner)) == 1
    assert waiting(owner) == [["Tove's phone", "Tove Reed", "device-revoked", 500, {"note": 500}]]
    assert owner.get("/api/devices")[1]["devices"][-1]["quarantined"] == 500
    done = owner.done("/api/quarantine/admit", which(owner))
    assert (done["stored"], done["duplicate"], done["later"], done["refused"]) == (500, 0, 0, 0)
    assert log(owner)[1:] == records, "in the order they were made, each as it was"
    assert waiting(owner) == []


def test_a_revoked_person_hands_over_too(owner: Browser, keeper: Browser) -> None:
    phone = keeper.recorder()
    owner.done(f"/api/people/{phone.staff}/revoke")
    assert told(keeper.push(phone, [note(phone, "last look")])) == ["later"]
    assert [group[2] for group in waiting(owner)] == ["person-revoked"]


def test_paired_again_it_sends_what_it_made_before(owner: Browser, keeper: Browser) -> None:
    old = keeper.recorder()
    made = tray(old, "a1")
    staff = old.staff
    owner.done(f"/api/devices/{old.name}/revoke")
    pair(owner, keeper, staff, "Tove's phone again")
    assert keeper.me["device"]["id"] != old.name
    assert told(keeper.push(old, [made])) == ["later"]
    assert waiting(owner) == [["Tove's phone", "Tove Reed", "other-device", 1, {"define": 1}]]
    assert owner.done("/api/quarantine/admit", which(owner))["stored"] == 1
    assert log(owner) == [made]


def test_nobody_records_in_anothers_name(owner: Browser, keeper: Browser) -> None:
    phone = keeper.recorder()
    phone.staff = owner.me["staff"]["id"]
    assert told(keeper.push(phone, [note(phone, "by the boss")])) == ["later"]
    assert [group[1:3] for group in waiting(owner)] == [["Owner", "other-person"]]


def test_a_keepers_change_of_a_list_waits_for_a_lead(owner: Browser, keeper: Browser) -> None:
    phone = keeper.recorder()
    made = [tray(phone, "a1"), phone.make("note", ("item", "tray.a1"), {"text": "north wall"})]
    answers = keeper.push(phone, made)
    assert told(answers) == ["later", "later"]
    assert answers["answers"][0]["notes"][0].startswith("Only a lead changes lists.")
    assert answers["answers"][1]["notes"] == [
        "Held safely until the list entry it names (tray.a1) arrives here."
    ]
    assert answers["device_seq"] == {"highest": 2, "missing": []}
    owner.done("/api/quarantine/admit", which(owner))
    assert log(owner) == made, "what waited for it came along"


def test_a_keeper_takes_back_no_list_of_a_leads(owner: Browser, keeper: Browser) -> None:
    desk, phone = owner.recorder(1), keeper.recorder()
    made = tray(desk, "a1")
    look = note(phone, "by mistake")
    owner.push(desk, [made])
    back = [
        phone.make("retract", ("record", made["id"]), {"why": "mine now"}),
        phone.make("retract", ("record", "0190b0c8-7a3e-7000-8000-00000000beef"), {"why": "later"}),
        look,
        phone.make("retract", ("record", look["id"]), {"why": "a slip"}),
    ]
    # The note is about an entry that nobody has told of, so it waits for that as before.
    assert told(keeper.push(phone, back)) == ["later"] * 4
    assert waiting(owner)[0][2:] == ["needs-lead", 2, {"retract": 2}]
    assert log(owner) == [made]


def test_a_shared_phone_lends_nobody_anothers_rights(browse: Opener, owner: Browser) -> None:
    boss = owner.me["staff"]["id"]
    owner.done("/api/access/pin", {"pin": "2580"})
    tove = add(owner, "Tove Reed", pin="8305")["id"]
    phone = browse()
    pair(owner, phone, None, "Tank phone")
    phone.done("/api/access/hold", {"staff": boss, "pin": "2580"})
    phone.done("/api/access/release")
    phone.done("/api/access/hold", {"staff": tove, "pin": "8305"})
    recorder = phone.recorder()
    recorder.staff = boss
    assert told(phone.push(recorder, [tray(recorder, "a1")])) == ["later"]
    assert [group[1:3] for group in waiting(owner)] == [["Owner", "needs-lead"]]


def test_set_aside_it_stays_out_and_can_still_be_admitted(owner: Browser, keeper: Browser) -> None:
    phone = keeper.recorder()
    made = tray(phone, "a1")
    keeper.push(phone, [made])
    group = which(owner)
    assert owner.done("/api/quarantine/set-aside", group)["count"] == 1
    [found] = owner.get("/api/quarantine")[1]["groups"]
    assert (found["count"], found["set_aside"]) == (0, 1)
    assert log(owner) == []
    assert owner.done("/api/quarantine/admit", group)["stored"] == 1
    assert log(owner) == [made]
    entries = owner.get("/api/audit")[1]["entries"][:2]
    assert [(one["what"], one["about"], one["detail"]["count"]) for one in entries] == [
        ("admitted", phone.name, 1), ("set-aside", phone.name, 1),
    ]  # fmt: skip


def test_a_saved_outbox_is_taken_in(owner: Browser, keeper: Browser) -> None:
    lost = Phone("device.lost", 9)
    lost.staff = keeper.me["staff"]["id"]
    made = [tray(lost, "a1"), {"id": "no record"}]
    headers = {"Content-Type": "application/json"}
    assert keeper.client.post("/api/sync/take-in", content=lost.batch(made), headers=headers
                              ).json()["code"] == "not-allowed"  # fmt: skip
    answers = owner.client.post("/api/sync/take-in", content=lost.batch(made), headers=headers)
    assert told(answers.json()) == ["later", "refused"]
    assert waiting(owner) == [[None, "Tove Reed", "taken-in", 1, {"define": 1}]]
    assert owner.get("/api/quarantine")[1]["refused_count"] == 1
    owner.done("/api/quarantine/admit", which(owner))
    assert log(owner) == made[:1]


def test_a_shared_phone_signed_out_while_nobody_held_it_hands_over_what_it_had(
    browse: Opener, owner: Browser
) -> None:
    shared = browse()
    pair(owner, shared, None, "Shared phone")
    staff = add(owner, "Tove Reed", pin="8305")["id"]
    shared.done("/api/access/hold", {"staff": staff, "pin": "8305"})
    phone = shared.recorder()
    made = note(phone, "not sent in time")
    shared.done("/api/access/release")
    owner.done(f"/api/devices/{phone.name}/revoke")
    assert told(shared.push(phone, [made])) == ["later"]
    assert waiting(owner) == [["Shared phone", "Tove Reed", "device-revoked", 1, {"note": 1}]]
    assert shared.get("/api/me")[0] == 401


def test_what_is_in_the_log_already_is_no_news(owner: Browser, keeper: Browser) -> None:
    phone = keeper.recorder()
    desk = owner.recorder(1)
    owner.push(
        desk, [desk.make("define", ("item", "settings"), {"list": "settings", "fields": {}})]
    )
    made = note(phone, "sent, and the answer was lost")
    assert told(keeper.push(phone, [made])) == ["stored"]
    owner.done(f"/api/devices/{phone.name}/revoke")
    assert told(keeper.push(phone, [made])) == ["duplicate"]
    assert waiting(owner) == []


def test_the_phone_learns_what_was_set_aside_until_it_is_admitted(
    owner: Browser, keeper: Browser
) -> None:
    phone = keeper.recorder()
    changes, looks = [tray(phone, "a"), tray(phone, "b")], [note(phone, "seen")]
    assert told(keeper.push(phone, changes)) == ["later"] * 2
    keeper.push(phone, looks)
    held = [record["id"] for record in changes + looks]

    def aside() -> Any:
        return keeper.done("/api/sync/fates", {"ids": held})["set_aside"]

    assert aside() == []
    group = which(owner)
    assert owner.done("/api/quarantine/set-aside", group)["count"] == 2
    assert aside() == sorted(held[:2])
    owner.done("/api/quarantine/admit", group)
    assert aside() == []
    assert keeper.post("/api/sync/fates", {"ids": ["x"]})[0] == 400
