"""The report over HTTP: who may ask, what may be asked, and how it is described."""

import pytest

from api.app import openapi_document
from api.healing.sentence import NO_PIECES
from api.healing.traits import BYS
from api.problems import MEDIA
from api.settings import Settings


def test_nobody_signed_in_is_told_nothing(farm):
    answer = farm.client.get("/api/healing")
    assert (answer.status_code, answer.json()["code"]) == (401, "signed-out")


def test_an_empty_farm_is_an_answer(farm):
    farm.claim()
    answer = farm.client.get("/api/healing")
    assert answer.status_code == 200
    found = answer.json()
    assert found.pop("made_at")[-1] == "Z"
    nothing = dict.fromkeys(("all", "trial", "since", "until"))
    assert found == {
        "by": "method", "endpoint": "sale", "groups": [], "note": [NO_PIECES],
        "choices": [], "only": [], **nothing,
    }  # fmt: skip


@pytest.mark.parametrize("address", ["pieces", "rows.csv", "comparison", "likely", "warnings"])
def test_what_belongs_to_the_report_has_an_answer_on_an_empty_farm_too(farm, address):
    assert farm.client.get(f"/api/healing/{address}").status_code == 401
    farm.claim()
    assert farm.client.get(f"/api/healing/{address}").status_code == 200


def test_rows_are_a_file_to_save(farm):
    farm.claim()
    answer = farm.client.get("/api/healing/rows.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert answer.headers["content-disposition"] == 'attachment; filename="healing-pieces.csv"'
    assert answer.text.startswith("left,right,outcome,seen_alive,cut,group,piece,method,")


def test_days_and_traits_narrow_it(farm):
    farm.claim()
    asked = {"from": "2026-01-01", "to": "2026-02-01", "only": ["method:a", "base:b"]}
    found = farm.client.get("/api/healing", params=asked).json()
    assert (found["since"], found["until"], found["only"]) == (
        "2026-01-01", "2026-02-01", ["base:b", "method:a"],
    )  # fmt: skip
    assert farm.client.get("/api/healing", params={"from": "soon"}).status_code == 400


@pytest.mark.parametrize("by", [by for by in BYS if by != "arm"])
@pytest.mark.parametrize("endpoint", ["sale", "cut"])
def test_every_question_has_an_answer(farm, by, endpoint):
    farm.claim()
    found = farm.client.get("/api/healing", params={"by": by, "endpoint": endpoint}).json()
    assert (found["by"], found["endpoint"], found["groups"]) == (by, endpoint, [])


@pytest.mark.parametrize("question", [{"by": "moon"}, {"endpoint": "eat"}, {"by": ""}])
def test_an_unknown_question_is_refused_with_a_sentence(farm, question):
    farm.claim()
    answer = farm.client.get("/api/healing", params=question)
    assert (answer.status_code, answer.headers["content-type"]) == (400, MEDIA)
    assert next(iter(question)) in answer.json()["detail"]


def test_the_description_names_every_part_of_a_group(tmp_path):
    schemas = openapi_document(Settings(data=tmp_path))["components"]["schemas"]
    group = schemas["Group"]
    assert set(group["required"]) == set(group["properties"])
    assert {"key", "sentence", "median", "middle", "loss", "curve", "band"} <= set(
        group["required"]
    )
