"""Arms drawn within each mother: the paired analysis by cut."""

from dataclasses import astuple

import numpy as np
import pytest
from scipy.stats import ttest_1samp

from api.healing.compare.within import Within, within
from api.healing.errors import ShareError, TooFewCutsError
from api.healing.proportions import difference
from tests.healing.compare.arms_drawn import drawn, typed
from tests.reference.simulated import Farm, outcomes, traits

ARMS = (
    typed("r9-10 r11-12 x3-5 c40", "r19-20 r29-30 r9-10 c41", "x3-4 x5-6 r14-15 r15-16"),
    typed("r14-15 r9-20 x3-5 x5-9", "r29-30 x1-2 x4-9 c41", "x3-4 x5-6 r24-25 r21-22"),
)


def test_days_of_one_arm_against_the_other_by_hand():
    """Ready on 10, 12 | 20, 30, 10 | 15, 16 and on 15, 15 (the middle of 10-20) | 30 | 25, 22."""
    found = within(*ARMS, "days", 40)
    each = np.array([11.0 - 15.0, 20.0 - 30.0, 15.5 - 23.5])
    part = np.array([1.0, 0.75, 1.0]) / 2.75
    middle = part @ each
    error = np.sum(part**2 * (each - middle) ** 2 / (1.0 - part)) ** 0.5
    reach = 4.302652729749464 * error  # t with 2 degrees of freedom
    assert found == Within(
        pytest.approx(middle), pytest.approx(middle - reach), pytest.approx(middle + reach), 3
    )


@pytest.mark.parametrize(
    ("measure", "one", "two"),
    [("lost", (1, 0, 2), (2, 2, 2)), ("ready", (2, 3, 2), (2, 1, 2))],
)
def test_shares_with_equal_arms_are_the_paired_t_test(measure, one, two):
    found = within(*ARMS, measure, 40)
    each = 25.0 * (np.array(one) - np.array(two))
    theirs = ttest_1samp(each, 0.0).confidence_interval()
    assert (found.estimate, found.low, found.high) == pytest.approx(
        (each.mean(), max(theirs.low, -100.0), min(theirs.high, 100.0))
    )
    assert found.cuts == 3


def test_shares_on_a_day_go_by_the_first_look_on_it_or_after():
    """By day 12: 2, 1, 0 ready of 4 in the first arm; (9, 20] counts, as its sisters' looks do."""
    found = within(*ARMS, "ready", 12)
    assert found.estimate == pytest.approx(100.0 * np.mean([2 - 1, 1 - 0, 0 - 0]) / 4)


def test_young_cuts_and_cuts_of_one_arm_are_left_out():
    one = typed("r9-10 c40", "r9-10 c40", "r9-10 c20", "r9-10 c40", "c40 c40")
    two = typed("r9-10 c40", "c40 c40", "r9-10 c20", "x3-4 c20", "c20 c20")
    found = within(one, two, "ready", 30)
    # Cut 2 is young. The sisters of cut 3 were withdrawn on 20: what is known of it still counts.
    # Of cut 4 nothing is known in the second arm.
    assert found.cuts == 3
    part = np.array([1.0, 1.0, 2 / 3])
    assert found.estimate == pytest.approx(100.0 * part @ [0.0, 0.5, 0.5] / part.sum())


def test_where_all_cuts_agree_the_pieces_carry_the_limits():
    none = typed("c40 c40", "c40 c40 c40")
    found = within(none, none, "lost", 30)
    limits = difference((0, 0), (5, 5))
    assert astuple(found) == (
        0.0, pytest.approx(100 * limits.low), pytest.approx(100 * limits.high), 2,
    )  # fmt: skip
    same = typed("r9-10", "r9-10 r9-10")
    assert within(same, same, "days", 5) == Within(0.0, None, None, 2)
    half = typed("r9-10 c40", "r9-10 c40")
    equal = within(half, typed("c40 c40", "c40 c40"), "ready", 30, level=0.5)
    # Within the first arm's cuts the variance is 1/2, of a mean of two 1/4, of two cuts' mean 1/8;
    # at 50 % t with one degree of freedom is 1.
    reach = 100.0 * 0.125**0.5
    assert (equal.estimate, equal.low, equal.high) == pytest.approx((50.0, 50 - reach, 50 + reach))


def test_a_bad_cut_does_not_enter():
    """One cut that heals in twice the time in both arms: no change, where the pairs are."""
    one, two = typed("r9-10", "r19-20", "r29-30"), typed("r11-12", "r22-23", "r30-31")
    slow = typed("r9-10", "r19-20", "r129-130"), typed("r11-12", "r22-23", "r130-131")
    assert within(*slow, "days", 5) == within(one, two, "days", 5)


def test_coverage():
    """150 trials of eight mothers cut into four pieces an arm, watched to the end; nominal 95 %.
    The second arm takes 1.3 times as long."""
    farm = Farm(8, 8, watched=(150, 160), speed_spread=0.2)
    random = np.random.default_rng(7)
    speed, odds = traits(farm, random, 200_000)
    days = []
    for slower in (1.0, 1.3):
        lost, time = outcomes(np.random.default_rng(8), speed * slower, odds)
        days.append(float(np.ceil(time[~lost]).mean()))
    held = []
    for run in range(150):
        found = within(*drawn(farm, run, 1.3), "days", 130)
        share = within(*drawn(farm, run), "lost", 60)
        held.append([found.low <= days[0] - days[1] <= found.high, share.low <= 0.0 <= share.high])
    covered = np.mean(held, axis=0)
    assert np.all((covered >= 0.9) & (covered <= 0.99))


def test_too_little_or_nonsense_is_refused():
    with pytest.raises(TooFewCutsError, match=r"1 cut\(s\) have pieces in both arms"):
        within(typed("r9-10", "r9-10"), typed("r9-10"), "days", 30)
    for measure, day, level in (("speed", 5, 0.95), ("days", 0, 0.95), ("lost", 5, 1.0)):
        with pytest.raises(ShareError, match="Cannot compare"):
            within(*ARMS, measure, day, level=level)
