"""Cuts left out or drawn again: refits against fits made from nothing."""

import numpy as np
import pytest

from api.healing.errors import TooFewCutsError
from api.healing.incidence import curves, fit_incidence
from api.healing.resample import drawn_again, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.brute_bands import fit_of_cuts, fits_without_each_cut, jackknife_error
from tests.reference.published_data import forty_pieces
from tests.reference.simulated import Farm, rows_of

READY, LOST = Cause.READY, Cause.LOST

DATA = {
    "forty pieces": forty_pieces(),
    "few large cuts": rows_of(Farm(cuts=4, pieces=40), np.random.default_rng(1)),
    "many small cuts": rows_of(Farm(cuts=15, pieces=4), np.random.default_rng(2)),
}


@pytest.mark.parametrize("name", DATA)
@pytest.mark.parametrize("cause", [READY, LOST])
def test_cuts_left_out_equal_fits_from_nothing(name, cause):
    rows = DATA[name]
    fit, long_way = fit_incidence(rows), fits_without_each_cut(rows)
    again = leave_one_out(rows, fit)
    days = fit.curve(cause).change_days()
    values = [curves(fit.grid, mass)[int(cause)].bounds(days)[0] for mass in again.mass]
    found = np.sqrt(again.variance(np.array(values)))
    errors = [jackknife_error(long_way, cause, int(day)) for day in days]
    known = [i for i, error in enumerate(errors) if error is not None]
    assert len(known) >= 2
    assert found[known] == pytest.approx([errors[i] for i in known], abs=1e-6)


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


def test_one_cut_or_none_is_refused():
    one = IntervalRows.of([9, 19], [10, 20], [READY, READY], [3, 3])
    for rows in (one, IntervalRows.of([], [], [])):
        fit = fit_incidence(rows)
        for again in (leave_one_out, lambda r, f: drawn_again(r, f, 1)):
            with pytest.raises(TooFewCutsError, match="only seen from two on"):
                again(rows, fit)
