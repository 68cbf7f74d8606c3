"""Photos over HTTP: whole answers, what is refused at the door, and what goes out."""

import inspect
import io
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from api.app import openapi_document
from api.photos import problems
from api.problems import ApiError
from api.settings import Settings
from tests.photos import pictures
from tests.photos.farm import sha256
from tests.photos.segments import is_bare
from tests.photos.served import Served, serve

PHOTO = pictures.noisy(500, 350)
NO_SUCH = "f" * 64


@pytest.fixture
def served(tmp_path: Path, target: str | Path) -> Iterator[Served]:
    with serve(tmp_path, target) as found:
        yield found


@pytest.fixture
def lite(tmp_path: Path) -> Iterator[Served]:
    """On the one database alone, for what does not reach it."""
    with serve(tmp_path, tmp_path / "nubbin.sqlite") as found:
        yield found


def test_a_photo_goes_in_and_out(served: Served):
    name = served.name(PHOTO)
    told = {"epoch": served.epoch, "sha256": name, "received": 0, "bytes": len(PHOTO),
            "state": "wanted", "problem": None}  # fmt: skip
    asked = served.client.get(f"/api/photos/{name}/state")
    assert (asked.status_code, asked.json()) == (200, told)
    assert asked.headers["cache-control"] == "no-store"
    part = served.part(name, 0, PHOTO[:5000])
    assert (part.status_code, part.json()) == (200, told | {"received": 5000, "state": "arriving"})
    early = served.client.get(f"/api/photos/{name}")
    assert (early.status_code, early.json()["code"]) == (404, "photo-not-here")
    wrong = served.part(name, 4000, PHOTO[4000:])
    assert (wrong.status_code, wrong.json()) == (409, {
        "type": "/problems/wrong-offset", "status": 409, "code": "wrong-offset",
        "title": "This part of the photo does not follow what is here.",
        "detail": "Its first 5000 bytes have arrived. Go on from there.", "received": 5000,
    })  # fmt: skip
    rest = served.part(name, 5000, PHOTO[5000:])
    kept = told | {"received": len(PHOTO), "state": "kept"}
    assert (rest.status_code, rest.json()) == (200, kept)
    assert served.client.get(f"/api/photos/{name}/state").json() == kept

    full = served.client.get(f"/api/photos/{name}")
    small = served.client.get(f"/api/photos/{name}/small")
    for got, size in ((full, (500, 350)), (small, (320, 224))):
        assert got.status_code == 200
        assert Image.open(io.BytesIO(got.content)).size == size
        assert is_bare(got.content)
        assert got.headers["content-type"] == "image/jpeg"
        assert got.headers["cache-control"] == "private, max-age=31536000, immutable"
        assert got.headers["x-content-type-options"] == "nosniff"
        assert "content-encoding" not in got.headers
    assert full.headers["etag"] == f'"{sha256(full.content)}.full"'
    assert small.headers["etag"] == f'"{sha256(full.content)}.small"'


def test_what_the_browser_holds_is_not_sent_again(lite: Served):
    address = f"/api/photos/{lite.send(PHOTO)}"
    tag = lite.client.get(address).headers["etag"]
    again = lite.client.get(address, headers={"If-None-Match": tag})
    assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
    assert again.headers["cache-control"] == "private, max-age=31536000, immutable"
    assert lite.client.get(f"{address}/small", headers={"If-None-Match": tag}).status_code == 200


def test_what_is_no_photo_is_answered_once_and_for_all(served: Served):
    text = b"This is a note, named coral.jpg.\n"
    name = served.name(text)
    refused = served.part(name, 0, text)
    problem = {
        "type": "/problems/not-a-photo", "status": 422, "code": "not-a-photo",
        "title": "This file cannot be read as a photo.",
        "detail": "It is neither JPEG, PNG nor WebP. It was not kept here and stays on the phone. "
        "Take the picture again if it matters.",
    }  # fmt: skip
    assert (refused.status_code, refused.json()) == (422, problem)
    state = served.client.get(f"/api/photos/{name}/state").json()
    assert state == {"epoch": served.epoch, "sha256": name, "received": 0, "bytes": len(text),
                     "state": "refused", "problem": problem}  # fmt: skip


@pytest.mark.parametrize("path", [
    NO_SUCH, "AB" * 32, "ab" * 31, "ab" * 33, "..%2f..%2fnubbin.sqlite", "%00", "x" * 4000,
    "ab" * 32 + "%0a", "%2e%2e", "ａ" * 64,
])  # fmt: skip
def test_a_name_that_no_record_knows_opens_nothing(lite: Served, path: str):
    for end in ("", "/state", "/small"):
        answer = lite.client.get(f"/api/photos/{path}{end}")
        assert (answer.status_code, answer.json()["code"]) in (
            (404, "unknown-photo"), (404, "not-found"),
        )  # fmt: skip
    answer = lite.part(path, 0, b"x")
    assert answer.json()["code"] in ("unknown-photo", "not-found")
    assert not (lite.settings.data / "photos").exists()


def test_a_part_has_at_most_256_kib(lite: Served):
    content = pictures.noisy(1000, 900)
    name, limit = lite.name(content), 256 * 1024
    assert len(content) > limit
    told = lite.part(name, 0, content[: limit + 1])
    headers = {"Upload-Offset": "0", "Content-Type": "application/offset+octet-stream"}
    pieces = iter([content[:limit], content[limit : limit + 1]])
    untold = lite.client.patch(f"/api/photos/{name}", content=pieces, headers=headers)
    for answer in (told, untold):
        assert (answer.status_code, answer.json()["code"]) == (413, "too-large")
        assert "at most 262144 bytes" in answer.json()["detail"]
    # What had come of the second one before it was too much is where the phone goes on.
    at = lite.client.get(f"/api/photos/{name}/state").json()["received"]
    assert at in (0, limit)
    assert lite.part(name, at, content[at : at + limit]).status_code == 200


@pytest.mark.parametrize("offset", ["", "-1", "one", "1.5", "1e3", "1_0", "0x1", "9" * 40])
def test_an_offset_that_is_none(lite: Served, offset: str):
    answer = lite.part(lite.name(PHOTO), offset, PHOTO[:100])
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-request")


def test_a_part_without_an_offset(lite: Served):
    headers = {"Content-Type": "application/offset+octet-stream"}
    answer = lite.client.patch(f"/api/photos/{lite.name(PHOTO)}", content=b"x", headers=headers)
    assert (answer.status_code, answer.json()["code"]) == (400, "bad-request")
    assert "Upload-Offset" in answer.json()["detail"]


def test_what_a_plain_form_or_another_site_can_send_is_not_taken(lite: Served):
    name = lite.name(PHOTO)
    form = lite.part(name, 0, PHOTO[:100], **{"Content-Type": "text/plain"})
    assert (form.status_code, form.json()["code"]) == (415, "wrong-media")
    strange = lite.part(name, 0, PHOTO[:100], **{"Sec-Fetch-Site": "cross-site"})
    assert (strange.status_code, strange.json()["code"]) == (403, "cross-site")
    assert lite.client.get(f"/api/photos/{name}/state").json()["received"] == 0


def test_nobody_signed_in_sees_or_sends_nothing(lite: Served):
    name = lite.send(PHOTO)
    lite.client.cookies.clear()
    for end in ("", "/state", "/small"):
        answer = lite.client.get(f"/api/photos/{name}{end}")
        assert (answer.status_code, answer.json()["code"]) == (401, "signed-out")
    assert lite.part(name, 0, b"x").status_code == 401


def test_photos_are_there_after_a_restart(tmp_path: Path, target: str | Path):
    with serve(tmp_path, target) as before:
        name = before.send(PHOTO)
        sent = before.client.get(f"/api/photos/{name}").content
        coming = before.name(pictures.noisy(300, 200, seed=2))
        before.part(coming, 0, pictures.noisy(300, 200, seed=2)[:999])
    (tmp_path / "dist").rename(tmp_path / "old-dist")
    with serve(tmp_path, target) as after:
        assert after.client.get(f"/api/photos/{name}").content == sent
        assert after.client.get(f"/api/photos/{coming}/state").json()["received"] == 999


def every_error() -> list[type[ApiError]]:
    found = [kind for _, kind in inspect.getmembers(problems, inspect.isclass)]
    return [kind for kind in found if kind.__module__ == problems.__name__]


@pytest.mark.parametrize("kind", every_error(), ids=lambda kind: kind.__name__)
def test_each_problem_has_its_sentences_and_its_place_in_the_tree(kind: type[ApiError]):
    problem = (kind(5) if kind is problems.WrongOffset else kind()).problem()
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", problem.code)
    for sentence in (problem.title, problem.detail):
        assert re.fullmatch(r"[A-Z].*\.", sentence)
    assert re.search(rf"{kind.__name__} .*{kind.code}\b", str(problems.__doc__))


def test_the_body_stands_in_the_description(tmp_path: Path):
    document = openapi_document(Settings(tmp_path))
    operation = document["paths"]["/api/photos/{sha256}"]["patch"]
    assert operation["requestBody"]["content"] == {
        "application/offset+octet-stream": {"schema": {"type": "string", "format": "binary"}}
    }
    assert {"409", "413", "422", "503", "507"} <= operation["responses"].keys()
    out = document["paths"]["/api/photos/{sha256}"]["get"]["responses"]["200"]
    assert list(out["content"]) == ["image/jpeg"]
