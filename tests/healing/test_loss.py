"""The share lost by a day: which cuts count, what is unknown, missing pieces, one design effect."""

from collections import defaultdict

import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from api.healing.groups import Cluster, Member, Members
from api.healing.intervals import Watch
from api.healing.loss import HORIZONS, horizon_of, losses
from api.healing.shapes import LossByDay, LossShare
from api.healing.traits import Traits
from tests.healing.farm_book import Book, only, report_of

pytestmark = pytest.mark.filterwarnings("error")
TRAITS = Traits(*["x"] * len(Traits._fields))


def members(*cuts: tuple[int, list[Watch]], key: str = "one", first: int = 0) -> Members:
    """A group of cuts, each with its age in days and its pieces."""
    found = Members(key, key)
    for number, (age, watches) in enumerate(cuts, first):
        cluster = Cluster(f"sitting {number}", "mother")
        found.pieces += [Member(watch, cluster, TRAITS, age) for watch in watches]
    return found


def wilson(lost: int, of: int):
    """The limits by statsmodels, at the tolerance of doubles."""
    return tuple(pytest.approx(x) for x in proportion_confint(lost, of, method="wilson"))


READY = Watch("ready", 40, 47)
HEALING = Watch("healing", 70, 72)
GONE = Watch("withdrawn", 10, 12)
EARLY = Watch("lost", 7, 14)
ACROSS = Watch("lost", 28, 33)
LATE = Watch("lost", 35, 42)
MISSED = Watch("lost", 7, 14, missing=True)


def test_what_counts_as_lost_by_the_horizon():
    """Lost by the first look on or after day 30: of 4 x 5 pieces, 2 lost, 1 unknown a cut."""
    group = members(*[(90, [READY, HEALING, GONE, EARLY, ACROSS, LATE])] * 4)
    [found] = losses([group], 30)
    low, high = wilson(8, 20)
    assert found == LossByDay(8, 20, 0.4, low, high, 30, 1.0, 4, 0, None)


def test_missing_is_not_dead_and_both_readings_are_shown():
    group = members(*[(90, [READY, READY, EARLY, MISSED])] * 5)
    [found] = losses([group], 30)
    assert found is not None
    assert (found.lost, found.of, found.missing) == (10, 20, 5)
    low, high = wilson(5, 15)
    assert found.missing_withdrawn == LossShare(5, 15, pytest.approx(1 / 3), low, high)


def test_a_cut_counts_once_somebody_was_there_after_the_horizon():
    """Day 32 in all: the round of day 28 found two dead, and nobody has been there since."""
    waiting = (32, [Watch("healing", 28, 28)] * 8 + [Watch("lost", 21, 28)] * 2)
    assert losses([members(*[waiting] * 4)], 30) == [None]
    looked = (32, [Watch("healing", 31, 31)] * 8 + [Watch("lost", 21, 28)] * 2)
    [found] = losses([members(*[looked] * 4)], 30)
    assert found is not None
    assert (found.lost, found.of) == (8, 40)


def test_a_cut_with_nothing_left_to_look_at_counts_at_its_age():
    all_lost = (30, [EARLY] * 3)
    [found] = losses([members(*[all_lost] * 4)], 30)
    assert found is not None
    assert (found.lost, found.of, found.share, found.high) == (12, 12, 1.0, 1.0)
    assert losses([members(*[(29, [EARLY] * 3)] * 4)], 30) == [None]


def test_three_cuts_are_too_few_for_limits():
    assert losses([members(*[(90, [READY, EARLY])] * 3)], 30) == [None]


def test_the_design_effect_is_of_all_groups_together():
    """A group of equal cuts is made less sure by another whose cuts went all well or all badly."""
    even = members(*[(90, [READY] * 5 + [EARLY] * 5)] * 4)
    uneven = members(*[(90, [EARLY] * 10), (90, [READY] * 10)] * 2, key="two", first=4)
    alone, (one, two) = losses([even], 30), losses([even, uneven], 30)
    assert alone[0] is not None
    assert one is not None
    assert two is not None
    assert alone[0].deff == 1.0
    # Rao & Scott 1992, equation 6, with equal sizes and shares: the mean of the two groups' own,
    # 0 and 4/3 x 4 x 5 squared / (0.5 x 0.5 x 40) = 40/3.
    assert one.deff == two.deff == pytest.approx(20 / 3)
    assert one.high - one.low > alone[0].high - alone[0].low


def test_the_horizon_is_the_longest_that_half_of_the_pieces_have_passed():
    old, young = (200, [READY] * 5 + [Watch("healing", 190, 190)]), (40, [HEALING] * 6)
    assert horizon_of([members(old)]) == 180
    assert horizon_of([members(old, young)]) == 180
    assert horizon_of([members(old, young, young)]) == 30
    assert horizon_of([members((29, [EARLY]))]) is None
    assert horizon_of([]) is None
    assert horizon_of([members((200, [Watch("never-checked")]))]) is None


fates = st.sampled_from(["ready", "lost", "healing", "withdrawn", "never-checked"])
watches = st.builds(
    lambda fate, left, more, missing: Watch(
        fate, left, left + more + (fate in ("ready", "lost")), missing=missing and fate == "lost"
    ),
    fates, st.integers(0, 80), st.integers(0, 20), st.booleans(),
)  # fmt: skip
farms = st.lists(st.tuples(st.integers(0, 120), st.lists(watches, max_size=6)), max_size=7)


@given(farms)
def test_counts_agree_with_a_tally_over_cuts(cuts):
    """A second way: cut by cut instead of piece by piece."""
    horizon = horizon_of([members(*cuts)])
    seen = sum(1 for _, pieces in cuts for w in pieces if w.fate != "never-checked")
    passed = {h: tally(cuts, h) for h in HORIZONS}
    fit = [h for h in HORIZONS if seen and 2 * sum(map(sum, passed[h])) >= seen]
    assert horizon == (max(fit) if fit else None)
    if horizon is None:
        return
    [found] = losses([members(*cuts)], horizon)
    known = [(lost, kept, unknown) for lost, kept, unknown in passed[horizon] if lost + kept]
    if len(known) < 4:
        assert found is None
        return
    assert found is not None
    lost, kept, _ = (sum(column) for column in zip(*known, strict=True))
    unknown = sum(one[2] for one in passed[horizon])
    assert (found.lost, found.of, found.unknown) == (lost, lost + kept, unknown)
    assert 0 <= found.low <= found.share <= found.high <= 1
    assert found.deff >= 1


def tally(cuts, horizon):
    """(lost, kept, unknown) of each cut that has passed the horizon."""
    found = []
    for age, pieces in cuts:
        kinds: dict[str, int] = defaultdict(int)
        rows = [w for w in pieces if w.fate != "never-checked"]
        for w in rows:
            kinds["lost" if w.fate == "lost" and w.left < horizon
                  else "kept" if w.fate == "ready" or w.right >= horizon
                  else "unknown"] += 1  # fmt: skip
        behind = any(w.fate == "healing" and w.right < horizon for w in rows)
        visited = any(w.right >= horizon for w in rows)
        if age >= horizon and (visited or not behind):
            found.append((kinds["lost"], kinds["kept"], kinds["unknown"]))
    return found


def test_in_the_report_missing_pieces_are_told_apart(tmp_path):
    book = Book()
    for _ in range(5):
        book.pieces(book.cut(), "l7 r35", "l7 r35", "l7 x14", "l7 m14")
    group = only(report_of(tmp_path, book))
    assert (group.lost, group.missing, group.pieces) == (10, 5, 20)
    assert group.notes == [
        "5 of the 10 lost were missing, not found dead, and count lost. By day 30 that makes "
        "50% lost, or 33% if the missing are left out."
    ]


def test_in_the_report_a_loss_after_readiness_is_no_loss_of_healing(tmp_path):
    book = Book()
    for _ in range(4):
        book.pieces(book.cut(), "l7 r14 x21", "l7 l35")
    group = only(report_of(tmp_path, book))
    assert (group.ready, group.lost, group.lost_after_ready) == (4, 0, 4)
    assert group.loss is not None
    assert (group.loss.lost, group.loss.of) == (0, 8)
    assert group.notes == ["4 of the 4 ready were lost later; they count ready."]
