"""Fixtures: a farm's server, and one on which the owner is signed in."""

import asyncio
from collections.abc import Iterator
from pathlib import Path

import pytest
from litestar.testing import TestClient

from api.app import create_app
from api.settings import Settings
from tests.server.server_farm import BASE, SAME_ORIGIN, Farm, prepare, small_app


@pytest.fixture
def farm(tmp_path: Path) -> Iterator[Farm]:
    settings = Settings(data=tmp_path)
    tokens = asyncio.run(prepare(settings))
    app = create_app(settings, dist=small_app(tmp_path / "dist"))
    with TestClient(app, base_url=BASE) as client:
        client.headers.update(SAME_ORIGIN)
        yield Farm(client, settings, tokens)


@pytest.fixture
def signed_in(farm: Farm) -> Farm:
    assert farm.claim().status_code == 200
    return farm
