"""How many cuts: against a library, against simulated trials, and at the edges."""

import pytest
from statsmodels.stats.power import TTestPower

from api.planning.trial_size import (
    FEWEST,
    Design,
    Spread,
    cuts_for_days,
    cuts_for_shares,
    mothers,
    other_share,
    power,
    ready_pieces,
)
from tests.planning.simulated_trials import TRIALS, found_share

ONE_EACH = Design(2, 2.0)


@pytest.mark.parametrize("effect", [0.15, 0.3, 0.5, 0.8, 1.2, 2.5])
@pytest.mark.parametrize("level", [0.05, 0.05 / 3])
def test_the_count_is_a_librarys(effect: float, level: float) -> None:
    """statsmodels.stats.power: the one-sample t test, noncentral t."""
    needed = TTestPower().solve_power(effect, power=0.8, alpha=level)
    found = mothers(effect, 1.0, level)
    assert found is not None
    assert found - 1 < needed <= found
    assert power(found, effect, 1.0, level) == pytest.approx(
        TTestPower().power(effect, found, level), abs=1e-9
    )


@pytest.mark.parametrize("trial", TRIALS, ids=str)
def test_the_stated_cuts_find_the_difference_about_four_times_in_five(trial) -> None:
    """600 simulated trials each: the chance scatters by 0.016. With half of the cuts, as a control,
    clearly fewer are found."""
    assert trial.cuts is not None
    assert 0.75 <= found_share(trial, trial.cuts, 600, seed=4) <= 0.86
    assert found_share(trial, trial.cuts // 2, 600, seed=5) <= 0.62


def test_drawing_within_mothers_takes_fewer_cuts_the_more_alike_her_pieces_are() -> None:
    counts = [cuts_for_shares(Design(2, 8.0), 0.3, 0.15, icc) for icc in (0.0, 0.2, 0.5)]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) == 3
    parts = [cuts_for_shares(Design(2, 8.0, True), 0.3, 0.15, icc) for icc in (0.0, 0.2, 0.5)]
    assert parts == sorted(parts)
    assert parts[0] == counts[0]


def test_between_mothers_counts_only_for_whole_parts() -> None:
    near, far = Spread(900.0, 0.0), Spread(900.0, 400.0)
    piece, part = Design(2, 8.0), Design(2, 8.0, True)
    assert cuts_for_days(piece, 0.8, 10.0, near) == cuts_for_days(piece, 0.8, 10.0, far)
    same = cuts_for_days(part, 0.8, 10.0, near)
    assert same == cuts_for_days(piece, 0.8, 10.0, near)
    more = cuts_for_days(part, 0.8, 10.0, far)
    assert more is not None
    assert same is not None
    assert more > 1.5 * same


def test_more_arms_ask_for_more() -> None:
    two, three = (cuts_for_shares(Design(arms, 4.0 * arms), 0.3, 0.15, 0.1) for arms in (2, 3))
    assert two is not None
    assert three is not None
    assert three > two
    assert Design(3, 9.0).level == pytest.approx(0.05 / 3)


@pytest.mark.parametrize(
    ("share", "difference", "other"),
    [(0.2, 0.1, 0.3), (0.9, 0.1, 0.8), (0.05, 0.1, 0.15), (0.5, 0.5, 1.0), (0.3, 0.8, None),
     (0.0, 0.1, 0.1), (1.0, 0.2, 0.8)],
)  # fmt: skip
def test_the_other_share_is_the_one_that_is_harder_to_tell(share, difference, other) -> None:
    found = other_share(share, difference)
    assert (found is None) if other is None else (found == pytest.approx(other))


def test_what_cannot_be_planned_is_no_number() -> None:
    assert cuts_for_shares(ONE_EACH, 0.3, 0.8, 0.0) is None
    assert cuts_for_shares(ONE_EACH, 0.3, 0.01, 0.0) is None
    assert cuts_for_days(ONE_EACH, 0.0, 10.0, Spread(100.0)) is None
    assert cuts_for_days(ONE_EACH, 0.5, 0.1, Spread(900.0)) is None
    assert cuts_for_shares(Design(2, 40.0), 0.0, 1.0, 0.0) == FEWEST
    assert cuts_for_days(Design(2, 40.0), 1.0, 300.0, Spread(0.0)) == FEWEST


@pytest.mark.parametrize(("each", "ready"), [(4, 0.8), (3, 0.3), (1, 0.5), (7, 1.0)])
def test_pieces_that_become_ready_by_counting_every_outcome(each: int, ready: float) -> None:
    """A second way: all 2^n outcomes of the pieces."""
    total = seen = 0.0
    for outcome in range(1, 2**each):
        k = outcome.bit_count()
        chance = ready**k * (1 - ready) ** (each - k)
        total, seen = total + chance / k, seen + chance
    assert ready_pieces(float(each), ready) == pytest.approx((total / seen, seen))


def test_between_whole_numbers_of_pieces_nothing_jumps() -> None:
    low, middle, high = (ready_pieces(each, 0.7)[0] for each in (3.0, 3.5, 4.0))
    assert middle == pytest.approx((low + high) / 2)
