"""The interval-censored Weibull regression against published numbers and a second library."""

import numpy as np
import pandas as pd
import pytest
from lifelines import WeibullAFTFitter

from api.healing.predict.climb import Point, Problem, Top, climb
from api.healing.predict.mixture import Bounds
from api.healing.rows import Cause, FloatArray, IntervalRows
from tests.reference.published_data import RADIATION, RADIATION_CHEMOTHERAPY, one_cause


def both() -> tuple[IntervalRows, FloatArray]:
    """All 94 patients, and 1 for those who had chemotherapy as well."""
    parts = one_cause(RADIATION), one_cause(RADIATION_CHEMOTHERAPY)
    columns = [
        np.concatenate([getattr(one, name) for one in parts]) for name in ("left", "right", "cause")
    ]
    return IntervalRows.of(*columns), np.repeat([0.0, 1.0], [one.left.size for one in parts])


def one_curve(rows: IntervalRows, design: FloatArray) -> Top:
    """One cause: the logit is +inf, nothing has a prior but what one cause does not have."""
    m = design.shape[1]
    other = np.tile([1.0, 0.0, 1.0], (m, 1))
    flat = Point(other, np.array([0.0, 1.0]), np.ones((1, 3)))
    start = Point(np.zeros((m, 3)), np.zeros(2), np.zeros((0, 3)))
    start.outer[0, 1] = np.log(rows.right.max())
    none = np.zeros(0, np.int64)
    bounds, weight = Bounds.of(rows), rows.weight.astype(float)
    return climb(
        Problem(
            bounds, weight, design, none, none, Point(np.zeros((m, 3)), np.zeros(2), flat.inner),
            flat, np.array([np.inf, 0.0, 0.0]),
        ),
        start,
    )  # fmt: skip


def test_weibull_regression_of_breast_cosmesis():
    """R's survreg (survival 3.5) and icenReg 2.0 on Finkelstein & Wolfe 1985: intercept
    3.899276, chemotherapy -.567551, scale .619340, log-likelihood -143.32083."""
    rows, chemotherapy = both()
    top = one_curve(rows, np.stack((np.ones(chemotherapy.size), chemotherapy), axis=1))
    assert top.at.outer[:, 1] == pytest.approx([3.899276, -0.567551], abs=1e-6)
    assert np.exp(-top.at.shape[0]) == pytest.approx(0.619340, abs=1e-6)
    assert top.loglik == pytest.approx(-143.32083, abs=5e-6)


def test_weibull_regression_equals_lifelines():
    rows, chemotherapy = both()
    upper = np.where(rows.cause == Cause.READY, rows.right, np.inf)
    table = pd.DataFrame({"low": rows.left.astype(float), "high": upper, "chemo": chemotherapy})
    theirs = WeibullAFTFitter().fit_interval_censoring(table, "low", "high")
    top = one_curve(rows, np.stack((np.ones(chemotherapy.size), chemotherapy), axis=1))
    found = [top.at.outer[1, 1], top.at.outer[0, 1], top.at.shape[0]]
    assert found == pytest.approx(theirs.params_.to_numpy(), abs=2e-4)
    assert top.loglik == pytest.approx(theirs.log_likelihood_, abs=1e-5)
