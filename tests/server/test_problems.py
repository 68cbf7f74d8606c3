"""Errors as RFC 9457 problems: one shape for all, and nothing of the inside let out."""

import inspect
import logging
import re

import msgspec
import pytest
from litestar import Litestar, get
from litestar.exceptions import HTTPException
from litestar.testing import TestClient

from api import problems
from api.problems import ApiError, answer, raises


def every_error() -> list[type[ApiError]]:
    return [
        kind
        for _, kind in inspect.getmembers(problems, inspect.isclass)
        if issubclass(kind, ApiError) and kind is not ApiError
    ]


@pytest.mark.parametrize("kind", every_error(), ids=lambda kind: kind.__name__)
def test_each_kind_has_its_code_its_sentences_and_its_place_in_the_tree(kind: type[ApiError]):
    problem = kind().problem()
    assert (problem.status, problem.type) == (kind.status, f"/problems/{kind.code}")
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", problem.code)
    for sentence in (problem.title, problem.detail):
        assert re.match(r"[A-Z]", sentence)
        assert sentence[-1] in ".k"
    assert re.search(rf"─ {kind.__name__}\b", problems.__doc__)
    assert kind.code in problems.__doc__


def test_codes_are_told_apart():
    codes = [kind.code for kind in every_error()]
    assert len(codes) == len(set(codes))


def fails_with(error: BaseException) -> TestClient[Litestar]:
    @get("/")
    async def broken() -> None:
        raise error

    handlers = {HTTPException: answer, Exception: answer}
    return TestClient(
        Litestar([broken], exception_handlers=handlers, openapi_config=None, logging_config=None),
        raise_server_exceptions=False,
    )


def test_an_unexpected_error_is_logged_and_tells_nothing(caplog: pytest.LogCaptureFixture):
    with caplog.at_level(logging.ERROR, "nubbin"):
        got = fails_with(KeyError("the password")).get("/")
    assert (got.status_code, got.json()["code"]) == (500, "broken")
    assert got.headers["content-type"] == "application/problem+json"
    assert "password" not in got.text
    assert "KeyError: 'the password'" in caplog.text
    assert "Traceback" in caplog.text


@pytest.mark.parametrize(
    ("error", "status", "code"),
    [
        (msgspec.ValidationError("Expected `int`"), 400, "bad-body"),
        (msgspec.DecodeError("JSON is malformed"), 400, "not-json"),
        (RecursionError("maximum recursion depth exceeded"), 400, "not-json"),
        (HTTPException(status_code=404), 404, "not-found"),
        (HTTPException(status_code=429), 429, "slow-down"),
        (HTTPException(status_code=418), 400, "bad-request"),
        (HTTPException(status_code=503, detail="the inside"), 500, "broken"),
    ],
)
def test_foreign_errors_find_their_place(error: Exception, status: int, code: str):
    got = fails_with(error).get("/")
    assert (got.status_code, got.json()["status"], got.json()["code"]) == (status, status, code)
    assert "the inside" not in got.text


def test_what_a_handler_raises_is_grouped_for_the_description():
    found = raises(problems.BadBody, problems.SignedOut, problems.NotJson)
    assert {status: spec.description for status, spec in found.items()} == {
        400: "bad-body, not-json",
        401: "signed-out",
    }
