"""The order in which records arrive cannot matter, and a second way of reckoning agrees."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.stock.fold import Entry, fold, follows, step
from api.stock.state import PieceState
from tests.stock.random_cases import BODIES, MINUTES, ZONES, Draw, build
from tests.stock.records import PIECE, Case, decoded
from tests.stock.second_fold import second_fold
from tests.stock.test_fold import CASES

# Few moments, so that records often share one, or a day.
moments = st.sampled_from([0, 1, 720, 1139, 1140, 1141, 1440, 2880, 2881, 4320, MINUTES - 1])
draw = st.tuples(moments, st.sampled_from(sorted(BODIES)), st.integers(0, 11))
begun = st.tuples(st.just(0), st.sampled_from(["glue", "arrival"]), st.integers(0, 11))
histories = st.one_of(
    st.lists(draw, max_size=14),
    st.tuples(begun, st.lists(draw, max_size=14)).map(lambda both: [both[0], *both[1]]),
)
zones = st.sampled_from(ZONES)


@st.composite
def cases(make: st.DrawFn) -> tuple[list[Entry], set[str], str]:
    """Entries of a piece, which of them are taken back, and the zone."""
    drawn: list[Draw] = make(histories)
    entries = decoded(build(drawn))
    gone = make(st.sets(st.sampled_from([e.record.id for e in entries]))) if entries else set()
    return entries, gone, make(zones)


@given(cases(), st.randoms(use_true_random=False))
def test_any_order_of_arrival_gives_the_same_state(
    case: tuple[list[Entry], set[str], str], random: Random
) -> None:
    entries, gone, zone = case
    shuffled = random.sample(entries, len(entries))
    assert fold(PIECE, shuffled, gone, zone) == fold(PIECE, entries, gone, zone)


@given(cases())
def test_taking_back_is_the_same_as_never_having_recorded(
    case: tuple[list[Entry], set[str], str],
) -> None:
    entries, gone, zone = case
    rest = [e for e in entries if e.record.id not in gone]
    assert fold(PIECE, entries, gone, zone) == fold(PIECE, rest, set(), zone)


@given(cases())
def test_step_by_step_is_the_whole_fold(case: tuple[list[Entry], set[str], str]) -> None:
    entries, _, zone = case
    state = PieceState(id=PIECE)
    for entry in sorted(entries, key=lambda e: (e.at, e.record.id)):
        assert follows(state, entry)
        step(state, entry, zone)
        assert not follows(state, entry)
    assert state == fold(PIECE, entries, set(), zone)


@given(cases())
def test_the_second_reckoning_agrees(case: tuple[list[Entry], set[str], str]) -> None:
    assert second_fold(PIECE, *case) == fold(PIECE, *case)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_second_reckoning_agrees_by_hand(case: Case) -> None:
    assert second_fold(PIECE, decoded(case.entries), case.gone, case.zone) == case.expected
