"""How sure the curves are: limits, and the days they allow."""

import numpy as np
import pytest

from api.healing.bands import Band, DayRange, band_of, replicates_of
from api.healing.errors import ShareError
from api.healing.incidence import fit_incidence
from api.healing.proportions import clopper_pearson
from api.healing.resample import Replicates, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.brute_bands import (
    Z,
    band_by_days,
    fits_without_each_cut,
    jackknife_error,
    limits,
    t_of,
)
from tests.reference.published_data import forty_pieces
from tests.reference.simulated import Farm, rows_of

READY, LOST, STILL = Cause.READY, Cause.LOST, Cause.STILL

DATA = {
    "forty pieces": forty_pieces(),
    "few large cuts": rows_of(Farm(cuts=4, pieces=40), np.random.default_rng(1)),
    "many small cuts": rows_of(Farm(cuts=15, pieces=4), np.random.default_rng(2)),
}


def band(rows: IntervalRows, cause: Cause = READY, level: float = 0.95) -> Band:
    fit = fit_incidence(rows)
    return band_of(fit, cause, leave_one_out(rows, fit), level)


def exact(days: list[int], cause: Cause, cluster: list[int]) -> IntervalRows:
    return IntervalRows.of(np.array(days) - 1, days, [cause] * len(days), cluster)


def on_rounds(rows: IntervalRows, gap: int = 7) -> IntervalRows:
    """The same pieces when every cut is looked at on the same days."""
    left = -(-rows.left // gap) * gap
    right = np.where(rows.cause == STILL, left, left + gap)
    return IntervalRows.of(left, right, rows.cause, rows.cluster)


@pytest.mark.parametrize("cause", [READY, LOST])
def test_where_all_cuts_share_their_days_nothing_is_averaged(cause):
    rows = on_rounds(DATA["few large cuts"])
    found, fit = band(rows, cause), fit_incidence(rows)
    assert set(found.days) == {1, *fit.curve(cause).change_days()} - {0}
    rounds = [i for i, day in enumerate(found.days) if day % 7 == 0 and 0.0 < found.lower[i] < 1.0]
    long_way = fits_without_each_cut(rows)
    errors = np.array([jackknife_error(long_way, cause, int(found.days[i])) for i in rounds])
    assert len(rounds) > 5
    assert found.se_lower[rounds] == pytest.approx(errors, abs=1e-6)
    share = found.lower[rounds]
    reach = np.maximum(t_of(4) * errors, Z * np.sqrt(share * (1.0 - share) / rows.pieces))
    each = np.array([limits(f, far) for f, far in zip(share, reach, strict=True)])
    assert found.low[rounds] == pytest.approx(np.maximum.accumulate(each[:, 0]), abs=1e-6)
    # No upper limit is over a later one.
    down = np.minimum.accumulate(each[::-1, 1])[::-1]
    assert found.high[rounds] == pytest.approx(down, abs=1e-6)


def test_drawing_and_leaving_out_agree_when_cuts_are_many():
    rows = rows_of(Farm(cuts=40, pieces=10), np.random.default_rng(12))
    fit = fit_incidence(rows)
    drawn = band_of(fit, READY, replicates_of(rows, fit, seed=1))
    left_out = band_of(fit, READY, leave_one_out(rows, fit))
    assert (drawn.method, left_out.method, drawn.cuts) == ("bootstrap", "jackknife", 40)
    middle = (fit.ready.bounds(drawn.days)[0] > 0.1) & (drawn.upper - drawn.lower < 1e-9)
    assert middle.sum() > 20
    ratio = drawn.se_lower[middle] / left_out.se_lower[middle]
    assert 0.85 < ratio.mean() < 1.15
    assert 0.6 < ratio.min() <= ratio.max() < 1.5


@pytest.mark.parametrize(("name", "cause", "level"), [
    ("forty pieces", READY, 0.95), ("few large cuts", READY, 0.8), ("few large cuts", LOST, 0.95),
])  # fmt: skip
def test_limits_are_those_of_the_averaged_curve(name, cause, level):
    """Day by day, the average added up in small steps."""
    rows = DATA[name]
    fit = fit_incidence(rows)
    again = leave_one_out(rows, fit)
    found = band_of(fit, cause, again, level)
    low, high = band_by_days(rows, cause, again.mass, level)
    watched = range(1, min(len(low), fit.curve(cause).tail_from) + 1)
    assert len(watched) > 40
    each = np.array([found.at(day) for day in watched])
    assert each[:, 0] == pytest.approx(np.array(low)[: len(watched)], abs=1e-4)
    assert each[:, 1] == pytest.approx(np.array(high)[: len(watched)], abs=1e-4)


def test_limits_never_fall_back():
    """F(20) is much less sure than F(10), so its own lower limit would lie below that of F(10); and
    F(10) less sure than F(20): its upper limit would lie above."""
    rows = IntervalRows.of([9, 19, 30], [10, 20, 30], [READY, READY, STILL], weight=[50, 10, 40])
    fit = fit_incidence(rows)
    late = np.array([[0.5, 0.4, 0.1], [0.5, 0.1, 0.4], [0.5, 0.0, 0.5]])
    early = np.array([[0.1, 0.5, 0.4], [0.9, 0.0, 0.1], [0.5, 0.1, 0.4]])
    t = t_of(20)
    found = band_of(fit, READY, Replicates(late, 1.0, 20, "made up"))
    error = found.se_lower[found.days.tolist().index(20)]
    alone = limits(0.6, t * error)
    assert alone[0] < found.at(10)[0]
    assert found.at(20) == pytest.approx((found.at(10)[0], alone[1]))
    found = band_of(fit, READY, Replicates(early, 1.0, 20, "made up"))
    error = found.se_lower[found.days.tolist().index(10)]
    alone = limits(0.5, t * error)
    assert alone[1] > found.at(20)[1]
    assert found.at(10) == pytest.approx((alone[0], found.at(20)[1]))


def test_equal_cuts_leave_the_binomial_error():
    """Cuts that are copies of each other do not differ; pieces still would, drawn again. That error
    is known, not learnt from five cuts: the normal quantile."""
    rows = exact([10, 20, 30, 40] * 5, READY, np.repeat(range(5), 4).tolist())
    found = band(rows)
    at_ten = found.days.tolist().index(10)
    assert found.se_lower[at_ten] == pytest.approx(0.0, abs=1e-9)
    assert found.at(10) == pytest.approx(limits(0.25, Z * np.sqrt(0.25 * 0.75 / 20)))
    assert found.deff == 1.0


def test_a_share_of_none_or_all_has_exact_limits():
    rows = exact([10] * 10, READY, np.repeat(range(5), 2).tolist())
    ready, lost = band(rows), band(rows, LOST)
    assert ready.at(9) == pytest.approx(clopper_pearson(0, 10))
    assert ready.at(10) == pytest.approx(clopper_pearson(10, 10))
    assert lost.at(30) == pytest.approx(clopper_pearson(0, 10))
    assert (ready.at(0), lost.at(0)) == ((0.0, 0.0), (0.0, 0.0))


def test_cuts_that_stand_or_fall_together_widen_the_exact_limits():
    """Two of four cuts ready on day 10, the others on 30: pieces of a cut are one piece."""
    rows = exact([10] * 8 + [30] * 8, READY, np.repeat(range(4), 4).tolist())
    found = band(rows)
    at_ten = found.days.tolist().index(10)
    jackknife = 1.0 / 12.0  # of a share over 4 cuts: p (1 - p) / (4 - 1)
    assert found.se_lower[at_ten] == pytest.approx(np.sqrt(jackknife))
    assert found.deff == pytest.approx(jackknife / (0.25 / 16))
    assert found.at(5)[1] == pytest.approx(1.0 - 0.025 ** (found.deff / 16))


def test_half_ready_on_a_range_of_days():
    found = band(DATA["few large cuts"])
    reached = found.quantile(0.5)
    point = fit_incidence(DATA["few large cuts"]).ready.quantile(0.5)
    assert reached is not None
    assert reached.high is not None
    assert reached.low <= point[0] + 1 <= point[1] <= reached.high
    assert found.at(reached.low)[1] >= 0.5 > found.at(reached.low - 1)[1]
    assert found.at(reached.high)[0] >= 0.5 > found.at(reached.high - 1)[0]


def test_upper_limit_not_reached_is_at_least_a_day():
    """Each of four cuts: ready on 10, 20 and 30, two still healing on 35."""
    right = np.array([10, 20, 30, 35, 35] * 4)
    cause = np.array([READY, READY, READY, STILL, STILL] * 4)
    left = np.where(cause == READY, right - 1, right)
    found = band(IntervalRows.of(left, right, cause, np.repeat(range(4), 5)))
    assert found.at(30) == pytest.approx(limits(0.6, Z * (0.6 * 0.4 / 20) ** 0.5))
    assert found.at(30)[0] < 0.5 < found.at(20)[1]
    assert found.at(19)[1] < 0.6 < found.at(20)[1]
    assert found.quantile(0.6) == DayRange(20, None)


def test_half_never_ready():
    rows = exact([5, 6, 7, 8] * 10, LOST, np.repeat(range(10), 4).tolist())
    assert band(rows, READY).quantile(0.5) is None
    assert band(rows, LOST).quantile(0.5) == DayRange(6, 7)


@pytest.mark.parametrize("kinds", [[LOST], [READY], [STILL], [READY, LOST, STILL]])
def test_degenerate_cuts_still_have_limits(kinds):
    """Two cuts of two pieces, of one kind only or of all: finite, ordered limits."""
    cause = np.resize(kinds, 4)
    rows = IntervalRows.of([0, 7, 0, 3], [7, 9, 7, 8], cause, [0, 0, 1, 1])
    for which in (READY, LOST):
        found = band(rows, which)
        ordered = np.array([found.low, found.lower, found.upper, found.high])
        assert np.isfinite(ordered).all()
        assert np.all(np.diff(ordered, axis=0) >= -1e-12)


def test_levels_and_shares_out_of_range_are_refused():
    fit = fit_incidence(DATA["forty pieces"])
    again = leave_one_out(DATA["forty pieces"], fit)
    with pytest.raises(ShareError, match="confidence level"):
        band_of(fit, READY, again, 1.0)
    with pytest.raises(ShareError, match="share of pieces"):
        band_of(fit, READY, again).quantile(1.0)
