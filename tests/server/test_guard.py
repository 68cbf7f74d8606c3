"""Every address is either behind the door or on the short list of those that must not be."""

import re
from pathlib import Path

import pytest
from litestar.routes import HTTPRoute

from api.access.guard import OPEN
from api.app import create_app, openapi_document
from api.settings import Settings
from tests.server.server_farm import Farm

OPEN_TO_ALL = {("GET", "/api/health"), ("POST", "/api/access/claim")}
SHELL = {(method, path) for method in ("GET", "HEAD") for path in ("/", "/{path:path}")}


def every_route() -> list[tuple[str, str]]:
    app = create_app(Settings(Path("unused")))
    return sorted(
        (method, route.path)
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for method in route.methods
        if method != "OPTIONS"
    )


def test_only_the_short_list_is_marked_open():
    app = create_app(Settings(Path("unused")))
    marked = {
        (method, route.path)
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for handler in route.route_handlers
        if handler.opt.get(OPEN)
        for method in handler.http_methods
        if method != "OPTIONS"
    }
    assert marked == OPEN_TO_ALL | SHELL


@pytest.mark.parametrize(("method", "path"), every_route())
def test_everything_else_answers_401(farm: Farm, method: str, path: str):
    if (method, path) in SHELL:
        assert farm.client.request(method, "/").status_code == 200
        return
    address = re.sub(r"\{[^}]*\}", "x", path)
    answer = farm.client.request(method, address, json={} if method == "POST" else None)
    if (method, path) in OPEN_TO_ALL:
        assert answer.status_code in (200, 400)
    else:
        assert (answer.status_code, answer.json()["code"]) == (401, "signed-out")


def test_nothing_lies_outside_the_api_but_the_app():
    outside = {found for found in every_route() if not found[1].startswith("/api/")}
    assert outside == SHELL


def test_every_handler_names_its_operation_and_its_problems(tmp_path: Path):
    document = openapi_document(Settings(tmp_path))
    operations = {
        (method, path): operation
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    }
    named = {
        (m.lower(), re.sub(r":\w+\}", "}", p)) for m, p in every_route() if (m, p) not in SHELL
    }
    assert operations.keys() == named
    for (method, _), operation in operations.items():
        assert re.fullmatch(r"[a-z_]+", operation["operationId"])
        assert operation["description"]
        if operation.get("security") != [{}]:
            assert "401" in operation["responses"]
        if method == "post":
            assert "403" in operation["responses"]
        for status, answer in operation["responses"].items():
            if status[0] == "4":
                schema = answer["content"]["application/problem+json"]["schema"]
                assert schema == {"$ref": "#/components/schemas/Problem"}


def test_bodies_stand_in_the_description(tmp_path: Path):
    document = openapi_document(Settings(tmp_path))
    body = document["paths"]["/api/labels/sheet"]["post"]["requestBody"]
    assert body["content"]["application/json"]["schema"]["$ref"].endswith("/SheetQuestion")
    fields = document["components"]["schemas"]["SheetQuestion"]["properties"]
    assert fields.keys() == {"geometry", "count", "start", "size_mm"}
    assert (fields["count"]["minimum"], fields["count"]["maximum"]) == (1, 5000)
