"""Random data against libraries that do one part of the same work.

What to know of them: surpyval's default estimator is Fleming-Harrington, so Kaplan-Meier is asked
for; lifelines takes intervals as closed, so half a day is added to the left ends, and it stops
early, so its tolerance is tightened and still only four digits are compared.
"""

import numpy as np
import pytest
from lifelines import KaplanMeierFitter
from statsmodels.stats.proportion import confint_proportions_2indep, proportion_confint
from surpyval import Turnbull

from api.healing.incidence import fit_incidence
from api.healing.proportions import clopper_pearson, difference, wilson
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of


def one_cause_rows(seed: int, pieces: int) -> IntervalRows:
    """Ready or not; a loss ends the watching, only to make data for one-cause libraries."""
    rows = rows_of(Farm(cuts=8, pieces=pieces // 8), np.random.default_rng(seed))
    ready = rows.cause == Cause.READY
    return IntervalRows.of(
        rows.left, np.where(ready, rows.right, rows.left), np.where(ready, Cause.READY, Cause.STILL)
    )


@pytest.mark.parametrize(("seed", "pieces"), [(1, 40), (2, 80), (3, 400), (4, 2000)])
def test_one_cause_equals_surpyvals_turnbull(seed, pieces):
    rows = one_cause_rows(seed, pieces)
    upper = np.where(rows.cause == Cause.READY, rows.right, np.inf)
    theirs = Turnbull.fit(
        xl=rows.left.astype(float), xr=upper, turnbull_estimator="Kaplan-Meier", tol=1e-12
    )
    curve = fit_incidence(rows).ready
    days = curve.right.astype(float)
    assert np.abs(curve.bounds(days)[0] - (1.0 - theirs.sf(days))).max() < 1e-8


def test_one_cause_equals_lifelines_where_f_is_known():
    rows = one_cause_rows(5, 80)
    upper = np.where(rows.cause == Cause.READY, rows.right, np.inf)
    theirs = KaplanMeierFitter().fit_interval_censoring(rows.left + 0.5, upper, tol=1e-9)
    table = theirs.survival_function_["NPMLE_estimate_lower"]
    curve = fit_incidence(rows).ready
    place = np.searchsorted(table.index.to_numpy(), curve.right, side="right") - 1
    found = curve.bounds(curve.right)[0]
    assert found == pytest.approx(1.0 - table.to_numpy()[place], abs=5e-4)


def test_shares_equal_statsmodels():
    random = np.random.default_rng(6)
    for _ in range(200):
        pieces = random.integers(1, 120, 2)
        events = random.integers(0, pieces + 1)
        level = float(random.choice([0.8, 0.95, 0.99]))
        (x, y), (n, m) = events.tolist(), pieces.tolist()
        score = proportion_confint(x, n, 1.0 - level, method="wilson")
        exact = proportion_confint(x, n, 1.0 - level, method="beta")
        two = confint_proportions_2indep(x, n, y, m, method="newcomb", alpha=1.0 - level)
        assert wilson(x, n, level) == pytest.approx(score, abs=1e-12)
        assert clopper_pearson(x, n, level) == pytest.approx(exact, abs=1e-12)
        assert difference((x, y), (n, m), level) == pytest.approx(two, abs=1e-12)


def test_a_design_effect_divides_events_and_pieces():
    assert wilson(12, 60, 0.95, 2.4) == pytest.approx(
        proportion_confint(5, 25, 0.05, method="wilson"), abs=1e-12
    )
