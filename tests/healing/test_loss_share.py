"""The share lost by a day: least, most, and limits, of the joint estimate."""

import numpy as np
import pytest

from api.healing.bands import replicates_of
from api.healing.errors import ShareError
from api.healing.incidence import fit_incidence
from api.healing.loss_share import Share, share_lost
from api.healing.proportions import clopper_pearson
from api.healing.rows import IntervalRows
from tests.healing.compare.arms_drawn import by_day_ten, typed
from tests.reference.brute_bands import Z, limits, t_of
from tests.reference.simulated import Farm, rows_of


def lost_by(rows: IntervalRows, day: int, level: float = 0.95) -> Share:
    fit = fit_incidence(rows)
    return share_lost(fit, replicates_of(rows, fit), day, level)


def test_equal_cuts_with_known_days_are_the_t_of_the_cuts_shares():
    shares = (9, 2, 7, 5)
    found = lost_by(by_day_ten(*shares, lost=True), 20)
    error = np.std(shares, ddof=1) / 10.0 / 2.0
    assert found == pytest.approx((0.575, 0.575, *limits(0.575, t_of(4) * error)))


def test_cuts_that_are_copies_leave_the_binomial_error():
    found = lost_by(by_day_ten(3, 3, 3, 3, lost=True), 20, 0.95)
    assert found == pytest.approx((0.3, 0.3, *limits(0.3, Z * (0.3 * 0.7 / 40) ** 0.5)))


def test_none_lost_has_an_exact_limit():
    assert lost_by(by_day_ten(4, 6, 2, 5), 20) == pytest.approx(
        (0.0, 0.0, 0.0, clopper_pearson(0, 40).high)
    )


def test_a_loss_found_after_the_day_is_a_range_not_a_count():
    """On day 30 the piece of (28, 42] may be lost or not; those of (42, 56] are not."""
    cut = "x10-14 x28-42 x42-56 r30-44 c60"
    rows = typed(cut, cut, cut, cut)
    found = lost_by(rows, 30)
    assert (found.least, found.most) == pytest.approx((0.2, 0.4))
    assert found.low == pytest.approx(limits(0.2, Z * (0.2 * 0.8 / 20) ** 0.5)[0])
    assert found.high == pytest.approx(limits(0.4, Z * (0.4 * 0.6 / 20) ** 0.5)[1])


def test_young_cuts_count_as_far_as_they_were_watched():
    """A cut seen to day 20 alone, none lost so far: with it 4 of 40 are lost by then, and beyond it
    the other three cuts say what came."""
    old = ["x9-10 x29-30 " + "c60 " * 8] * 3
    found = lost_by(typed(*old, "x9-10 " + "c20 " * 9), 40)
    # 4 of 40 by day 20; of the 36 alive then, 27 were watched on and 3 of them lost.
    assert found.least == found.most == pytest.approx(0.1 + 0.9 * 3 / 27)


def test_limits_are_ordered_and_beyond_the_watching_all_is_open():
    rows = rows_of(Farm(6, 8, 14), np.random.default_rng(5))
    fit = fit_incidence(rows)
    again = replicates_of(rows, fit)
    for day in range(1, 130):
        found = share_lost(fit, again, day)
        assert np.all(np.diff([0.0, found.low, found.least, found.most, found.high, 1.0]) >= -1e-12)
    last = fit.lost.tail_from + 1
    beyond = share_lost(fit, again, last)
    assert beyond.most == pytest.approx(fit.lost.mass.sum() + fit.tail_mass)


def test_days_and_levels_out_of_range_are_refused():
    rows = by_day_ten(1, 2, lost=True)
    with pytest.raises(ShareError, match="by day 1 after the cut or later, not by 0"):
        lost_by(rows, 0)
    with pytest.raises(ShareError, match="confidence level"):
        lost_by(rows, 5, 1.0)
