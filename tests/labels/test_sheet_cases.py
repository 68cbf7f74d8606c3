"""The server takes as a geometry what fits its page, by cases that the phone runs as well."""

import json

import pytest

from api.labelling.sheets import read_sheet
from tests.labels.sheet_cases import PATH, Case, cases

CASES: list[Case] = json.loads(PATH.read_text("utf-8"))["cases"]


def test_the_file_has_not_drifted():
    assert cases() == CASES, "make it again: python -m tests.labels.sheet_cases"


@pytest.mark.parametrize("number", range(len(CASES)))
def test_what_fits_is_taken_and_what_does_not_is_told(number: int):
    case = CASES[number]
    found = read_sheet("sheet.x", case["fields"])  # type: ignore[arg-type]
    assert (found.geometry is not None) == case["fits"], found.problem
