"""Push and pull over HTTP: what a wrong request is answered, whole."""

import asyncio
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from api.access.links import make_link, owner_of
from api.app import create_app
from api.database import open_database
from api.settings import Settings
from tests.sync.phone import NOW, Phone


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient[Any]]:
    settings = Settings(data=tmp_path)

    async def link() -> str:
        db = await open_database(settings.target)
        token = await make_link(db, await owner_of(db))
        await db.close()
        return token

    token = asyncio.run(link())
    with TestClient(create_app(settings), base_url="http://farm.example") as opened:
        opened.headers["Sec-Fetch-Site"] = "same-origin"
        me = opened.post("/api/access/claim", json={"token": token, "device_name": "p"}).json()
        opened.device = me["device"]["id"]  # type: ignore[attr-defined]
        yield opened


def push(client: TestClient[Any], body: bytes) -> tuple[int, Any]:
    answer = client.post(
        "/api/sync/push", content=body, headers={"Content-Type": "application/json"}
    )
    if answer.status_code != 200:
        assert answer.headers["content-type"] == "application/problem+json"
    return answer.status_code, answer.json()


def batch(client: TestClient[Any], records: list[Any]) -> bytes:
    return Phone(client.device).batch(records, NOW)  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("body", "status", "code"),
    [
        (b"<html>sign in to the network</html>", 400, "not-json"),
        (b'{"device": "d"', 400, "not-json"),
        (b"\xff\xfe", 400, "not-json"),
        (b'{"device": "d", "sent": {}, "records": ' + b"[" * 100_000, 400, "bad-batch"),
        (b'{"records": ' + b"[" * 100_000, 400, "not-json"),
        (b"[]", 400, "bad-batch"),
        (b'{"device": "d", "sent": {"at": "yesterday"}, "records": []}', 400, "bad-batch"),
        (b'{"device": "d", "sent": {"at": "2026-13-41T00:00:00.000Z"}, "records": []}', 400,
         "bad-batch"),
    ],
)  # fmt: skip
def test_a_body_that_is_no_batch(
    client: TestClient[Any], body: bytes, status: int, code: str
) -> None:
    got, problem = push(client, body)
    assert got == status
    detail = problem.pop("detail")
    assert problem == {
        "type": f"/problems/{code}", "status": status, "code": code, "title": TITLES[code],
    }  # fmt: skip
    assert detail.endswith(KEPT[code])
    assert nothing_was_taken(client)


TITLES = {
    "not-json": "The body is not JSON.",
    "bad-batch": "The batch of records has another shape than this address takes.",
}
KEPT = {
    "not-json": ". No record was taken; all stay on the device.",
    "bad-batch": ". No record was taken; all stay on the device.",
}  # fmt: skip


def nothing_was_taken(client: TestClient[Any]) -> bool:
    return bool(client.get("/api/sync/pull").json()["entries"] == [])


def test_no_body_at_all(client: TestClient[Any]) -> None:
    assert push(client, b"") == (400, {
        "type": "/problems/not-json", "status": 400, "code": "not-json",
        "title": TITLES["not-json"], "detail": "There is no body. Nothing was changed.",
    })  # fmt: skip


def test_a_time_that_no_calendar_has_is_said(client: TestClient[Any]) -> None:
    body = msgspec.json.decode(batch(client, []))
    body["sent"]["at"] = "2026-13-41T00:00:00.000Z"
    status, problem = push(client, msgspec.json.encode(body))
    assert (status, problem["code"]) == (400, "bad-batch")
    assert problem["detail"].startswith("'sent.at' is no time: month must be in 1..12")


def test_half_an_emoji_is_kept_as_no_character_and_spoils_nothing(client: TestClient[Any]) -> None:
    """Browsers write a lone surrogate as an escape, and RFC 8259 leaves it to the reader."""
    phone = Phone(client.device)  # type: ignore[attr-defined]
    texts = [b"HALF", b"whole"]
    tray = {"list": "tray", "fields": {"name": "A1"}}
    made = [
        phone.make("define", ("item", "tray.a1"), tray),
        *(phone.make("note", ("item", "tray.a1"), {"text": t.decode()}) for t in texts),
    ]
    me = client.get("/api/me").json()["staff"]["id"]
    made = [record | {"staff": me} for record in made]
    body = batch(client, made).replace(b"HALF", rb"half: \ud83d, whole: \uD83D\uDC20, \\ud83d")
    answers = [push(client, body) for _ in range(2)]
    assert [[a["answer"] for a in found["answers"]] for _, found in answers] == [
        ["stored"] * 3, ["duplicate"] * 3,
    ]  # fmt: skip
    kept = client.get("/api/sync/pull").json()["entries"]
    assert [one["record"]["body"]["text"] for one in kept[1:]] == [
        "half: \ufffd, whole: \U0001f420, \\ud83d", "whole",
    ]  # fmt: skip


def test_too_many_and_too_large(client: TestClient[Any]) -> None:
    assert push(client, batch(client, [{}] * 501)) == (413, {
        "type": "/problems/too-many", "status": 413, "code": "too-many",
        "title": "There are too many records in one batch.",
        "detail": "None was taken. Send at most 500 at a time.",
    })  # fmt: skip
    assert push(client, batch(client, [{"x": "y" * 1_100_000}])) == (413, {
        "type": "/problems/too-large", "status": 413, "code": "too-large",
        "title": "The request is too large.",
        "detail": "Nothing was taken. Send it in smaller parts.",
    })  # fmt: skip
    assert nothing_was_taken(client)


def test_nobody_signed_in(client: TestClient[Any]) -> None:
    client.cookies.clear()
    assert push(client, batch(client, [])) == (401, {
        "type": "/problems/signed-out", "status": 401, "code": "signed-out",
        "title": "Nobody is signed in on this device.",
        "detail": "What was recorded stays on this device. Open a sign-in link to go on.",
    })  # fmt: skip


def test_a_batch_is_answered_and_pulled_back(client: TestClient[Any]) -> None:
    phone = Phone(client.device)  # type: ignore[attr-defined]
    record = phone.make("define", ("item", "tray.a1"), {"list": "tray", "fields": {"name": "A1"}})
    record["staff"] = client.get("/api/me").json()["staff"]["id"]
    status, answer = push(client, batch(client, [record, {"id": 7}]))
    assert status == 200
    assert [a["answer"] for a in answer["answers"]] == ["stored", "refused"]
    page = client.get("/api/sync/pull").json()
    assert page["entries"] == [{"seq": 1, "at": answer["answers"][0]["at"], "record": record}]
    assert (page["more"], page["epoch"], page["cursor"]) == (
        False, answer["epoch"], f"{answer['epoch']}.1",
    )  # fmt: skip


@pytest.mark.parametrize(("after", "status", "code"), [
    ("nonsense", 400, "wrong-cursor"), ("a" * 32 + ".4", 410, "other-epoch"),
])  # fmt: skip
def test_a_wrong_cursor(client: TestClient[Any], after: str, status: int, code: str) -> None:
    answer = client.get("/api/sync/pull", params={"after": after})
    assert (answer.status_code, answer.json()["code"]) == (status, code)
    assert msgspec.json.decode(answer.content)["detail"].endswith(".")
