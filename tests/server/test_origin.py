"""A page of another site can change nothing here (OWASP, cross-site request forgery)."""

import pytest
from litestar.datastructures import Headers

from api.access.origin import is_same_origin
from tests.server.server_farm import Farm

HOST = {"host": "farm.example:8000"}


@pytest.mark.parametrize(
    ("headers", "same"),
    [
        ({"sec-fetch-site": "same-origin"}, True),
        ({"sec-fetch-site": "same-site"}, False),
        ({"sec-fetch-site": "cross-site"}, False),
        ({"sec-fetch-site": "none"}, False),
        ({"sec-fetch-site": "cross-site", "origin": "http://farm.example:8000"}, False),
        ({"origin": "http://farm.example:8000"}, True),
        ({"origin": "https://FARM.example:8000"}, True),
        ({"origin": "http://farm.example"}, False),
        ({"origin": "http://farm.example:8000.evil.example"}, False),
        ({"origin": "http://evil.example"}, False),
        ({"origin": "null"}, False),
        ({"origin": "http://["}, False),
        ({"origin": ""}, False),
        ({}, False),
    ],
)
def test_where_a_request_comes_from(headers: dict[str, str], same: bool):
    assert is_same_origin(Headers(HOST | headers)) is same


def test_a_strangers_page_cannot_sign_out(signed_in: Farm):
    headers = {"Sec-Fetch-Site": "cross-site"}
    answer = signed_in.client.post("/api/access/leave", headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (403, "cross-site")
    assert signed_in.client.get("/api/me").status_code == 200


@pytest.mark.parametrize(
    "media", ["text/plain", "application/x-www-form-urlencoded", "", "application/jsonx"]
)
def test_what_a_plain_form_can_send_is_not_taken(signed_in: Farm, media: str):
    headers = {"Content-Type": media}
    answer = signed_in.client.post("/api/labels/mint", content=b'{"count":1}', headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (415, "wrong-media")
    assert signed_in.sql("SELECT COUNT(*) FROM label_code") == [(0,)]


def test_a_charset_beside_the_media_type_is_fine(signed_in: Farm):
    headers = {"Content-Type": "application/json; charset=utf-8"}
    answer = signed_in.client.post("/api/labels/mint", content=b'{"count":1}', headers=headers)
    assert answer.status_code == 200


def test_reading_needs_no_origin(signed_in: Farm):
    headers = {"Sec-Fetch-Site": "none"}
    assert signed_in.client.get("/api/me", headers=headers).status_code == 200
