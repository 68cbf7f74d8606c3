"""Every address is either behind the door or on the short list of those that must not be."""

import re
from pathlib import Path

import pytest
from litestar.routes import HTTPRoute

from api.access.rules import RULE, RULES
from api.app import create_app, openapi_document
from api.settings import Settings
from tests.server.server_farm import Farm

OPEN_TO_ALL = {
    ("GET", "/api/health"), ("POST", "/api/access/claim"), ("POST", "/api/access/enter"),
}  # fmt: skip
PAIRED = {
    ("GET", "/api/me"), ("GET", "/api/access/crew"), ("POST", "/api/access/hold"),
    ("POST", "/api/access/leave"),
}  # fmt: skip
SHELL = {(method, path) for method in ("GET", "HEAD") for path in ("/", "/{path:path}")}


def rules() -> dict[tuple[str, str], str | None]:
    """Every method and path that the app answers, with its rule."""
    app = create_app(Settings(Path("unused")))
    return {
        (method, route.path): handler.opt.get(RULE)
        for route in app.routes
        if isinstance(route, HTTPRoute)
        for handler in route.route_handlers
        for method in handler.http_methods
        if method != "OPTIONS"
    }


def every_route() -> list[tuple[str, str]]:
    return sorted(rules())


def behind(*allowed: str) -> list[tuple[str, str]]:
    return sorted(where for where, rule in rules().items() if rule in allowed)


def asked(farm: Farm, method: str, path: str) -> tuple[int, str]:
    """Status and problem code of a request with nothing sensible in it."""
    address = re.sub(r"\{[^}]*\}", "x", path)
    answer = farm.client.request(method, address, json=None if method == "GET" else {})
    kind = answer.headers.get("content-type", "")
    return answer.status_code, answer.json()["code"] if "problem" in kind else ""


def test_every_route_has_a_rule():
    assert {where: rule for where, rule in rules().items() if rule not in RULES} == {}


def test_only_the_short_lists_ask_for_no_person():
    assert set(behind("open")) == OPEN_TO_ALL | SHELL
    assert set(behind("paired")) == PAIRED


@pytest.mark.parametrize(("method", "path"), behind("lead", "owner"))
def test_a_keeper_is_told_whom_to_ask(signed_in: Farm, method: str, path: str):
    signed_in.sql("UPDATE staff SET role = 'keeper'")
    assert asked(signed_in, method, path) == (403, "not-allowed")


@pytest.mark.parametrize(("method", "path"), behind("owner"))
def test_a_lead_is_no_owner(signed_in: Farm, method: str, path: str):
    signed_in.sql("UPDATE staff SET role = 'lead'")
    assert asked(signed_in, method, path) == (403, "not-allowed")


@pytest.mark.parametrize(("method", "path"), behind("keeper", "lead", "owner"))
def test_a_phone_that_nobody_holds_asks_who_does(signed_in: Farm, method: str, path: str):
    signed_in.sql("UPDATE device SET shared = 1")
    assert asked(signed_in, method, path) == (401, "not-held")


@pytest.mark.parametrize(("method", "path"), behind("paired", "keeper", "lead", "owner"))
@pytest.mark.parametrize("what", ["staff SET left_at", "device SET removed_at"])
def test_the_revoked_may_only_hand_over(signed_in: Farm, what: str, method: str, path: str):
    signed_in.sql(f"UPDATE {what} = 1")
    wanted = (400, "bad-batch") if path == "/api/sync/push" else (401, "signed-out")
    assert asked(signed_in, method, path) == wanted


@pytest.mark.parametrize(("method", "path"), every_route())
def test_everything_else_answers_401(farm: Farm, method: str, path: str):
    if (method, path) in SHELL:
        assert farm.client.request(method, "/").status_code == 200
        return
    if (method, path) in OPEN_TO_ALL:
        assert asked(farm, method, path)[0] in (200, 400)
    else:
        assert asked(farm, method, path) == (401, "signed-out")


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
        if method != "get":
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
    assert fields.keys() == {"geometry", "count", "start", "size_mm", "printer"}
    assert (fields["count"]["minimum"], fields["count"]["maximum"]) == (1, 10_000)
