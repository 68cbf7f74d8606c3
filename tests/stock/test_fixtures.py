"""The files that both languages run are what the generator writes, and hold what was meant."""

import json
from collections import Counter
from datetime import date

import msgspec
import pytest

from api.stock.fold import local_day
from api.stock.lists import fold_item
from tests.stock import day_cases, list_cases
from tests.stock.make_fixtures import FIXTURES, content
from tests.stock.records import Raw, RawEntry, decoded, record_id


@pytest.mark.parametrize("name", sorted(content()))
def test_committed_file_is_what_the_generator_writes(name: str) -> None:
    again = "run: python -m tests.stock.make_fixtures"
    assert (FIXTURES / name).read_text() == content()[name], again


def test_random_folds_come_to_every_stage_and_every_flag() -> None:
    cases = json.loads((FIXTURES / "fold/random.json").read_text())["cases"]
    stages = Counter(case["state"].get("stage", "unknown") for case in cases)
    flags = {flag["what"] for case in cases for flag in case["state"].get("flags", [])}
    assert min(stages.values()) >= 10
    assert set(stages) == {"unknown", "colony", "healing", "ready", "lost", "exited"}
    assert flags == {
        "before-glue", "begun-twice", "seen-after-loss", "ready-after-loss", "moves-at-once",
        "after-exit", "cut-before-begun", "cut-after-loss", "cut-after-exit",
    }  # fmt: skip


@pytest.mark.parametrize("case", day_cases.hand(), ids=lambda case: case["name"])
def test_local_dates_by_hand(case: Raw) -> None:
    assert local_day(case["at"], case["zone"]) == case["day"]


def test_days_between_dates() -> None:
    counted = [
        (date.fromisoformat(to) - date.fromisoformat(since)).days
        for since, to, _ in day_cases.BETWEEN
    ]
    assert counted == [days for _, _, days in day_cases.BETWEEN]


@pytest.mark.parametrize(
    ("entries", "gone", "expected"),
    [case[1:] for case in list_cases.LISTS],
    ids=[case[0] for case in list_cases.LISTS],
)
def test_list_entries(entries: list[RawEntry], gone: list[int], expected: Raw) -> None:
    taken_back = {record_id(number) for number in gone}
    kept = [e for e in decoded(entries) if e.record.id not in taken_back]
    state = fold_item(list_cases.TRAY, kept)
    told = msgspec.to_builtins(state)
    assert {name: told[name] for name in expected} == expected
