"""What a piece's records add up to, case by case, against results worked out by hand."""

import pytest

from api.stock.fold import fold
from tests.stock import hand_cases, hand_cases_places
from tests.stock.records import PIECE, Case, decoded

CASES = hand_cases.CASES + hand_cases_places.CASES


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_whole_state(case: Case) -> None:
    assert fold(PIECE, decoded(case.entries), case.gone, case.zone) == case.expected


def test_cases_have_names_of_their_own() -> None:
    assert len({case.name for case in CASES}) == len(CASES)
