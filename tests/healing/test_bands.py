"""How sure the curves are: cuts left out or drawn again, limits, and the days they allow."""

import numpy as np
import pytest

from api.healing.bands import Band, DayRange, band_of, replicates_of
from api.healing.errors import ShareError, TooFewCutsError
from api.healing.incidence import fit_incidence
from api.healing.proportions import clopper_pearson
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.brute_bands import (
    fit_of_cuts,
    fits_without_each_cut,
    jackknife_error,
    limits,
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


@pytest.mark.parametrize("name", DATA)
@pytest.mark.parametrize("cause", [READY, LOST])
def test_cuts_left_out_equal_fits_from_nothing(name, cause):
    rows = DATA[name]
    found, long_way = band(rows, cause), fits_without_each_cut(rows)
    chance = np.sqrt(found.lower * (1.0 - found.lower) / rows.pieces)
    errors = [jackknife_error(long_way, cause, int(day)) for day in found.days]
    known = [i for i, error in enumerate(errors) if error is not None and found.lower[i] > 0.0]
    known = [i for i in known if found.upper[i] == found.lower[i] < 1.0]
    assert len(known) >= 2
    expected = [max(errors[i], chance[i]) for i in known]
    assert found.se_lower[known] == pytest.approx(expected, abs=1e-6)
    assert found.se_upper[known] == pytest.approx(expected, abs=1e-6)


@pytest.mark.parametrize("name", DATA)
def test_each_refit_lies_within_what_its_own_rows_allow(name):
    """Also where F is not identified: the columns of the full fit only share out masses."""
    rows = DATA[name]
    fit = fit_incidence(rows)
    again = leave_one_out(rows, fit)
    for mass, alone in zip(again.mass, fits_without_each_cut(rows), strict=True):
        assert mass.sum() == pytest.approx(1.0, abs=1e-12)
        ends = fit.grid.end[fit.grid.is_ready]
        lower, upper = alone.ready.bounds(ends)
        between = np.cumsum(mass[fit.grid.is_ready])
        assert np.all(between >= lower - 1e-6)
        assert np.all(between <= upper + 1e-6)


def test_drawn_cuts_equal_fits_of_the_drawn_rows():
    """The same draws, made again by the documented generator, as copies of rows."""
    rows = DATA["few large cuts"]
    fit = fit_incidence(rows)
    again = drawn_again(rows, fit, seed=11, draws=12)
    times = np.random.default_rng(11).multinomial(4, np.full(4, 0.25), 12)
    ends = fit.grid.end[fit.grid.is_ready]
    for mass, count in zip(again.mass, times, strict=True):
        lower, upper = fit_of_cuts(rows, np.repeat(np.arange(4), count)).ready.bounds(ends)
        between = np.cumsum(mass[fit.grid.is_ready])
        # The refits stop 0.01 of log-likelihood short at most; sampling moves F by ten times that.
        assert np.all(between >= lower - 5e-3)
        assert np.all(between <= upper + 5e-3)


def test_columns_no_longer_told_apart_share_mass_as_in_the_full_fit():
    """Without cut 0 only (0, 20] is left; its mass stays three to one on either side of 10."""
    rows = IntervalRows.of([0, 10, 0], [10, 20, 20], [READY] * 3, [0, 0, 1], [3, 1, 4])
    again = leave_one_out(rows, fit_incidence(rows))
    assert again.mass == pytest.approx(np.array([[0.75, 0.25], [0.75, 0.25]]), abs=1e-9)


def test_a_seed_fixes_the_draws():
    rows = DATA["many small cuts"]
    fit = fit_incidence(rows)
    one, same, other = (drawn_again(rows, fit, seed, 20).mass for seed in (5, 5, 6))
    assert np.array_equal(one, same)
    assert not np.array_equal(one, other)


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


@pytest.mark.parametrize("level", [0.8, 0.95])
def test_limits_are_those_of_the_log_log_scale(level):
    found = band(DATA["few large cuts"], LOST, level)
    inner = [i for i, f in enumerate(found.lower) if 0.0 < f == found.upper[i] < 1.0]
    assert len(inner) > 5
    each = np.array([limits(found.lower[i], found.se_lower[i], 4, level) for i in inner])
    # Limits never fall back as days go by.
    assert found.low[inner] == pytest.approx(np.maximum.accumulate(each[:, 0]), abs=1e-12)
    assert found.high[inner] == pytest.approx(np.maximum.accumulate(each[:, 1]), abs=1e-12)


def test_limits_never_fall_back():
    """F(20) is much less sure than F(10), so its own lower limit would lie below that of F(10)."""
    rows = IntervalRows.of([9, 19, 30], [10, 20, 30], [READY, READY, STILL], weight=[50, 10, 40])
    mass = np.array([[0.5, 0.4, 0.1], [0.5, 0.1, 0.4], [0.5, 0.0, 0.5]])
    found = band_of(fit_incidence(rows), READY, Replicates(mass, 1.0, 20, "made up"))
    alone = limits(0.6, found.se_lower[found.days.tolist().index(20)], 20)
    assert alone[0] < found.at(10)[0]
    assert found.at(20) == pytest.approx((found.at(10)[0], alone[1]))


def test_equal_cuts_leave_the_binomial_error():
    """Cuts that are copies of each other do not differ; pieces still would, drawn again."""
    rows = exact([10, 20, 30, 40] * 5, READY, np.repeat(range(5), 4).tolist())
    found = band(rows)
    at_ten = found.days.tolist().index(10)
    assert found.se_lower[at_ten] == pytest.approx(np.sqrt(0.25 * 0.75 / 20))
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
    error = float(np.sqrt(0.6 * 0.4 / 20))
    assert found.at(30) == pytest.approx(limits(0.6, error, 4))
    assert found.at(30)[0] < 0.5 < found.at(20)[1]
    assert found.at(9)[1] < 0.6 < found.at(10)[1]
    assert found.quantile(0.6) == DayRange(10, None)


def test_half_never_ready():
    rows = exact([5, 6, 7, 8] * 10, LOST, np.repeat(range(10), 4).tolist())
    assert band(rows, READY).quantile(0.5) is None
    assert band(rows, LOST).quantile(0.5) == DayRange(6, 7)


def test_one_cut_or_none_is_refused():
    for rows in (exact([10, 20], READY, [3, 3]), IntervalRows.of([], [], [])):
        fit = fit_incidence(rows)
        for again in (leave_one_out, lambda r, f: drawn_again(r, f, 1)):
            with pytest.raises(TooFewCutsError, match="only seen from two on"):
                again(rows, fit)


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
