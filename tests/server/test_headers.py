"""Headers that every answer carries, whatever made it."""

import pytest

from api.headers import EVERYWHERE, POLICY
from tests.server.server_farm import Farm


@pytest.mark.parametrize("path", ["/", "/sw.js", "/nowhere.js", "/api/health", "/api/me", "/api/x"])
def test_every_answer_carries_them(farm: Farm, path: str):
    answer = farm.client.get(path)
    assert {name: answer.headers.get(name) for name in EVERYWHERE} == EVERYWHERE
    assert "strict-transport-security" not in answer.headers


def test_the_policy_lets_nothing_in_from_elsewhere():
    """Each source is this server, a picture's own bytes, or nothing."""
    parts = dict(part.split(" ", 1) for part in POLICY.split("; "))
    sources = {source for value in parts.values() for source in value.split()}
    assert sources == {"'none'", "'self'", "'wasm-unsafe-eval'", "blob:", "data:"}
    assert (parts["default-src"], parts["frame-ancestors"]) == ("'none'", "'none'")


@pytest.mark.parametrize("path", ["/api/health", "/api/me", "/api/sync/pull", "/api/healing"])
def test_what_the_server_works_out_is_not_cached(signed_in: Farm, path: str):
    assert signed_in.client.get(path).headers["cache-control"] == "no-store"
