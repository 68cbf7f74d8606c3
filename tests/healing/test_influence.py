"""What many cuts do to the estimate to first order: against leaving each out, and drawing again."""

import numpy as np
import pytest

from api.healing.bands import replicates_of
from api.healing.errors import TooFewCutsError
from api.healing.incidence import Incidence, fit_incidence
from api.healing.influence import influence
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of

pytestmark = pytest.mark.filterwarnings("error")


def farm(cuts: int) -> IntervalRows:
    return rows_of(Farm(cuts, 12), np.random.default_rng(7))


def errors(fit: Incidence, again: Replicates) -> list[float]:
    """Standard errors of the share ready and lost by days 20, 30, ..., 60, by their mass sums."""
    grid, found = fit.grid, []
    for day in range(20, 61, 10):
        lost_end = 2 * grid.fold - 1 - grid.start
        for inside in (grid.is_ready & (grid.end <= day), grid.is_lost & (lost_end <= day)):
            [variance] = again.variance(again.mass @ inside[:, None])
            found.append(float(np.sqrt(variance)))
    return found


def test_life_table_of_one_look_is_the_ratio_estimators_error():
    """All looked at on day 10 alone: the share ready is a ratio of sums over cuts, whose
    linearised variance is S / (S - 1) sum (y - p n)^2 / N^2 (Cochran 1977, equation 2.43)."""
    random = np.random.default_rng(3)
    cut = np.repeat(np.arange(60), random.integers(2, 9, 60))
    ready = random.random(cut.size) < random.beta(2, 2, 60)[cut]
    cause = np.where(ready, Cause.READY, Cause.STILL)
    rows = IntervalRows.of(np.where(ready, 0, 10), np.full(cut.size, 10), cause, cut)
    fit = fit_incidence(rows)
    again = influence(rows, fit)
    [variance] = again.variance(again.mass @ fit.grid.is_ready[:, None])
    pieces, events = np.bincount(cut), np.bincount(cut, ready)
    residual = events - ready.mean() * pieces
    assert variance == pytest.approx(60 / 59 * (residual**2).sum() / cut.size**2, rel=1e-6)


def test_it_agrees_with_leaving_each_cut_out_and_with_drawing_again():
    rows = farm(150)
    fit = fit_incidence(rows)
    found = np.array(errors(fit, influence(rows, fit)))
    left_out = np.array(errors(fit, leave_one_out(rows, fit)))
    drawn = np.array(errors(fit, drawn_again(rows, fit, 1)))
    assert np.abs(np.log(found / left_out)).mean() < 0.05
    assert np.abs(np.log(found / drawn)).mean() < 0.10


def test_replicates_lie_around_the_estimate_and_move_no_mass_in_all():
    rows = farm(250)
    fit = fit_incidence(rows)
    found = replicates_of(rows, fit)
    assert (found.method, found.cuts) == ("influence", 250)
    np.testing.assert_allclose(found.mass.mean(axis=0), fit.mass, atol=1e-12)
    np.testing.assert_allclose(found.mass.sum(axis=1), 1.0, atol=1e-3)


def test_of_very_many_cuts_some_tell_of_all(monkeypatch):
    rows = farm(600)
    fit = fit_incidence(rows)
    every = np.array(errors(fit, influence(rows, fit)))
    monkeypatch.setattr("api.healing.influence.ENOUGH", 300)
    some = np.array(errors(fit, influence(rows, fit)))
    assert np.abs(np.log(some / every)).mean() < 0.10


def test_one_cut_tells_nothing_of_cuts():
    rows = IntervalRows.of([0, 5], [5, 9], [0, 0])
    with pytest.raises(TooFewCutsError):
        influence(rows, fit_incidence(rows))
