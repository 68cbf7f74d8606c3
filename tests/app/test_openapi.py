"""The committed description of the API, and the types made from it, are those of this code."""

import json
from pathlib import Path

from api.app import openapi_document
from api.settings import Settings
from tests.app.node import run

ROOT = Path(__file__).parents[2]
COMMITTED = ROOT / "fixtures" / "openapi.json"


def test_the_description_has_not_drifted(tmp_path: Path) -> None:
    fresh = json.loads(json.dumps(openapi_document(Settings(data=tmp_path))))
    assert fresh == json.loads(COMMITTED.read_text("utf-8")), (
        "make it again: .venv/bin/nubbin openapi --out fixtures/openapi.json"
    )


def test_the_types_have_not_drifted(tmp_path: Path) -> None:
    fresh = tmp_path / "schema.d.ts"
    ran = run("openapi-typescript/bin/cli.js", str(COMMITTED), "-o", str(fresh),
              "--default-non-nullable=false")  # fmt: skip
    assert ran.returncode == 0, ran.stdout + ran.stderr
    committed = ROOT / "pwa" / "src" / "api" / "schema.d.ts"
    assert fresh.read_text("utf-8") == committed.read_text("utf-8"), (
        "make them again: npm run api-types, in pwa/"
    )
