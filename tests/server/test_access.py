"""Signing in by a link, staying signed in, signing out; what proves a device."""

import hashlib
import re

import pytest
from litestar.testing import TestClient

from api.access.sessions import ABSOLUTE_MS, IDLE_MS, TOUCH_MS
from api.app import create_app
from api.records.clock import now_ms
from tests.server.server_farm import Farm


def code(answer) -> str:
    return answer.json()["code"]


def test_claim_signs_in_and_me_says_who(farm: Farm):
    claimed = farm.claim(name="Wet-room phone")
    assert claimed.status_code == 200
    me = claimed.json()
    assert me == farm.client.get("/api/me").json()
    [(owner,)] = farm.sql("SELECT id FROM staff")
    [(epoch,)] = farm.sql("SELECT epoch FROM counter")
    assert me["staff"] == {"id": owner, "name": "Owner", "role": "owner"}
    assert me["device"]["name"] == "Wet-room phone"
    assert re.fullmatch(r"[a-z0-9][a-z0-9.-]{0,63}", me["device"]["id"])
    assert (me["epoch"], me["demo"]) == (epoch, False)


def test_without_a_session_nobody_is_signed_in(farm: Farm):
    answer = farm.client.get("/api/me")
    assert (answer.status_code, code(answer)) == (401, "signed-out")
    assert answer.headers["content-type"] == "application/problem+json"


def test_a_link_opens_one_device_only(farm: Farm):
    token = farm.tokens[0]
    assert farm.claim(token).status_code == 200
    again = farm.claim(token)
    assert (again.status_code, code(again)) == (403, "link-used")
    assert len(farm.sql("SELECT id FROM device")) == 1


def test_a_reusable_link_opens_many(farm: Farm):
    farm.sql("UPDATE link SET reusable = 1")
    token = farm.tokens[0]
    devices = {farm.claim(token).json()["device"]["id"] for _ in range(3)}
    assert len(devices) == 3


def test_an_old_link_opens_nothing(farm: Farm):
    farm.sql("UPDATE link SET expires_at = ?", now_ms() - 1)
    answer = farm.claim()
    assert (answer.status_code, code(answer)) == (403, "link-expired")
    assert farm.sql("SELECT COUNT(*) FROM session") == [(0,)]


def test_a_link_of_someone_who_left_opens_nothing(farm: Farm):
    farm.sql("UPDATE staff SET left_at = ?", now_ms())
    assert code(farm.claim()) == "link-unknown"


def test_only_hashes_are_stored(farm: Farm):
    token = farm.tokens[0]
    farm.claim(token)
    cookie = farm.client.cookies["nubbin"]
    assert farm.sql("SELECT digest FROM session") == [
        (hashlib.sha256(cookie.encode()).hexdigest(),)
    ]
    stored = (farm.settings.data / "nubbin.sqlite").read_bytes()
    stored += (farm.settings.data / "nubbin.sqlite-wal").read_bytes()
    assert hashlib.sha256(token.encode()).hexdigest().encode() in stored
    assert token.encode() not in stored
    assert cookie.encode() not in stored


def test_leaving_ends_the_session_on_the_server(signed_in: Farm):
    cookie = signed_in.client.cookies["nubbin"]
    left = signed_in.client.post("/api/access/leave")
    assert (left.status_code, left.content) == (204, b"")
    signed_in.client.cookies.set("nubbin", cookie, domain="farm.example")
    assert signed_in.client.get("/api/me").status_code == 401


@pytest.mark.parametrize(("column", "age"), [("seen_at", IDLE_MS), ("made_at", ABSOLUTE_MS)])
def test_a_session_ends_by_itself(signed_in: Farm, column: str, age: int):
    signed_in.sql(f"UPDATE session SET {column} = ?", now_ms() - age + 60_000)
    assert signed_in.client.get("/api/me").status_code == 200
    signed_in.sql(f"UPDATE session SET {column} = ?", now_ms() - age - 1)
    assert signed_in.client.get("/api/me").status_code == 401


def test_use_keeps_a_session_alive(signed_in: Farm):
    long_ago = now_ms() - 10 * TOUCH_MS
    signed_in.sql("UPDATE session SET seen_at = ?", long_ago)
    signed_in.client.get("/api/me")
    [(seen,)] = signed_in.sql("SELECT seen_at FROM session")
    assert seen > long_ago + 9 * TOUCH_MS


@pytest.mark.parametrize("table", ["staff SET left_at", "device SET removed_at"])
def test_who_or_what_was_removed_is_signed_out(signed_in: Farm, table: str):
    signed_in.sql(f"UPDATE {table} = ?", now_ms())
    assert signed_in.client.get("/api/me").status_code == 401


def test_a_phone_that_signs_in_again_is_the_same_device(signed_in: Farm):
    device = signed_in.client.get("/api/me").json()["device"]["id"]
    signed_in.client.post("/api/access/leave")
    again = signed_in.claim(device=device)
    assert again.json()["device"]["id"] == device


def test_a_device_is_believed_only_with_its_cookie(signed_in: Farm):
    device = signed_in.client.get("/api/me").json()["device"]["id"]
    signed_in.client.cookies.clear()
    assert signed_in.claim(device=device).json()["device"]["id"] != device


def test_a_phone_that_forgot_its_key_is_a_new_device(signed_in: Farm):
    device = signed_in.client.get("/api/me").json()["device"]["id"]
    assert signed_in.claim().json()["device"]["id"] != device


def test_a_new_claim_ends_the_devices_old_session(signed_in: Farm):
    device, old = signed_in.client.get("/api/me").json()["device"]["id"], signed_in.client.cookies
    cookie = old["nubbin"]
    signed_in.claim(device=device)
    signed_in.client.cookies.clear()
    signed_in.client.cookies.set("nubbin", cookie, domain="farm.example")
    assert signed_in.client.get("/api/me").status_code == 401


@pytest.mark.parametrize(
    ("base", "name", "secure"),
    [
        ("https://farm.example", "__Host-nubbin", True),
        ("http://127.0.0.1:8765", "__Host-nubbin", True),
        ("http://localhost", "__Host-nubbin", True),
        ("http://farm.local:8000", "nubbin", False),
    ],
)
def test_the_cookie_fits_the_address(farm: Farm, base: str, name: str, secure: bool):
    body = {"token": farm.tokens.pop(), "device_name": "phone"}
    headers = {"Host": base.split("//")[1]}
    answer = farm.client.post(f"{base}/api/access/claim", json=body, headers=headers)
    words = [word.strip().lower() for word in answer.headers["set-cookie"].split(";")]
    assert words[0].startswith(f"{name.lower()}=")
    assert len(words[0].split("=")[1]) == 43, "256 bits in base64"
    assert ("secure" in words) is secure
    assert {"httponly", "samesite=strict", "path=/"} <= set(words)
    assert not any(word.startswith("domain") for word in words)


def test_the_other_addresss_cookie_is_not_taken(signed_in: Farm):
    cookie = signed_in.client.cookies["nubbin"]
    signed_in.client.cookies.clear()
    plain = {"Cookie": f"__Host-nubbin={cookie}"}
    assert signed_in.client.get("/api/me", headers=plain).status_code == 401
    secure = signed_in.client.get("https://farm.example/api/me", headers=plain)
    assert secure.status_code == 200


def test_guessing_links_is_slowed_down(farm: Farm):
    codes = [code(farm.claim("x" * 43)) for _ in range(12)]
    assert codes == ["link-unknown"] * 10 + ["slow-down"] * 2
    assert farm.client.get("/api/me").status_code == 401, "only claims are limited"


def test_each_server_counts_its_own_guesses(farm: Farm):
    for _ in range(11):
        farm.claim("x" * 43)
    with TestClient(create_app(farm.settings), base_url="http://farm.example") as other:
        body = {"token": "x" * 43, "device_name": "phone"}
        headers = {"Sec-Fetch-Site": "same-origin"}
        assert code(other.post("/api/access/claim", json=body, headers=headers)) == "link-unknown"
