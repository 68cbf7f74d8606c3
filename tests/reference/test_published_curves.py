"""Curves against printed numbers, to the printed digit."""

import numpy as np
import pytest
from scipy.special import stdtr

from api.healing.bands import DayRange, band_of
from api.healing.incidence import Incidence, fit_incidence
from api.healing.resample import leave_one_out
from api.healing.rows import Cause
from tests.reference import published_data as data


def intervals(fit: Incidence, cause: Cause) -> dict[tuple[int, int], float]:
    curve = fit.curve(cause)
    ends = zip(curve.left.tolist(), curve.right.tolist(), strict=True)
    return dict(zip(ends, curve.mass.tolist(), strict=True))


# Fay & Shaw 2010, J Stat Softw 36(2) (R package interval 1.1-1.0); masses to eight digits and
# log-likelihoods from the same package.
COSMESIS = [
    (
        data.RADIATION,
        {
            (4, 5): 0.04634677, (6, 7): 0.03336337, (7, 8): 0.08866737, (11, 12): 0.07075292,
            (24, 25): 0.09264584, (33, 34): 0.08178577, (38, 40): 0.12087983, (46, 48): 0.46555814,
        },
        -58.060022,
        (38, 40),
    ),
    (
        data.RADIATION_CHEMOTHERAPY,
        {
            (4, 5): 0.04328263, (5, 8): 0.04328263, (11, 12): 0.06920558, (16, 17): 0.14539772,
            (18, 19): 0.14109490, (19, 20): 0.11574593, (24, 25): 0.09986531, (30, 31): 0.07088138,
            (35, 36): 0.16083111, (44, 48): 0.05520641, (48, 60): 0.05520641,
        },
        -65.636965,
        (19, 20),
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "masses", "loglik", "median"), COSMESIS)
def test_breast_cosmesis(text, masses, loglik, median):
    fit = fit_incidence(data.one_cause(text))
    assert intervals(fit, Cause.READY) == pytest.approx(masses, abs=1.5e-8)
    assert fit.loglik == pytest.approx(loglik, abs=5e-7)
    assert fit.ready.quantile(0.5) == median
    assert (fit.tail_mass, fit.lost.mass.size) == (0.0, 0)


def test_forty_pieces_of_two_causes():
    """R package MLEcens 0.1-7.1 on the same rows."""
    fit = fit_incidence(data.forty_pieces())
    ready = {
        (18, 19): 0.15, (30, 31): 0.15266073, (38, 39): 0.12139487, (39, 40): 0.09441823,
        (50, 53): 0.08992212, (54, 56): 0.17984425,
    }  # fmt: skip
    lost = {(4, 6): 0.125, (20, 23): 0.03511985, (31, 32): 0.05163995}
    assert intervals(fit, Cause.READY) == pytest.approx(ready, abs=6e-9)
    assert intervals(fit, Cause.LOST) == pytest.approx(lost, abs=6e-9)
    assert fit.loglik == pytest.approx(-63.5899319962, abs=1e-9)


def test_forty_pieces_with_the_outcome_pooled():
    """R package interval 1.1-1.0 on the same rows, ready or lost taken as one event."""
    rows = data.forty_pieces()
    pooled = type(rows).of(rows.left, rows.right, np.where(rows.cause == 2, 2, 0))
    assert fit_incidence(pooled).loglik == pytest.approx(-56.918732, abs=5e-7)


# Kaplan-Meier of Freireich et al. 1963 with Greenwood's standard error, as R 4.2.2's survival
# 3.5-3 prints it; the same S is printed in Cox & Oakes 1984, Analysis of Survival Data.
REMISSION = {
    6: (0.8571, 0.0764), 7: (0.8067, 0.0869), 10: (0.7529, 0.0963), 13: (0.6902, 0.1068),
    16: (0.6275, 0.1141), 22: (0.5378, 0.1282), 23: (0.4482, 0.1346),
}  # fmt: skip


def test_exact_days_give_kaplan_meier():
    treated = fit_incidence(data.exact_days(data.MERCAPTOPURINE)).ready
    alive = {day: tuple(1.0 - f for f in treated.cumulative(day)) for day in REMISSION}
    assert alive == {day: pytest.approx((s, s), abs=5e-5) for day, (s, _) in REMISSION.items()}
    placebo = fit_incidence(data.exact_days(data.PLACEBO)).ready
    assert (treated.quantile(0.5), placebo.quantile(0.5)) == ((22, 23), (7, 8))


def test_pieces_left_out_one_by_one_give_nearly_greenwoods_errors():
    """The jackknife is not Greenwood's formula: within 8 % here, and larger late in the curve."""
    rows = data.exact_days(data.MERCAPTOPURINE)
    fit = fit_incidence(rows)
    band = band_of(fit, Cause.READY, leave_one_out(rows, fit))
    found = {int(d): se for d, se in zip(band.days, band.se_lower, strict=True) if d in REMISSION}
    assert found == {day: pytest.approx(se, rel=0.08) for day, (_, se) in REMISSION.items()}


def test_placebo_median_and_its_interval():
    """Median 8, 95 % interval 4 to 11: R 4.2.2's survival 3.5-3, which takes the normal quantile.

    With the t quantile of 20 degrees of freedom that this package takes, it is 3 to 11.
    """
    rows = data.exact_days(data.PLACEBO)
    fit = fit_incidence(rows)
    again = leave_one_out(rows, fit)
    level_of_normal_quantile = 2.0 * float(stdtr(20, 1.959964)) - 1.0
    as_printed = band_of(fit, Cause.READY, again, level_of_normal_quantile)
    assert as_printed.quantile(0.5) == DayRange(4, 11)
    assert band_of(fit, Cause.READY, again).quantile(0.5) == DayRange(3, 11)


def test_exact_days_of_two_causes_give_aalen_johansen():
    """Scrucca, Santucci & Aversa 2007 (R package cmprsk): (T, R) for all 35 patients."""
    printed = {
        1: (0.057143, 0.057143), 4: (0.204926, 0.144828), 8: (0.237712, 0.270505),
        14: (0.272839, 0.411015), 26: (0.272839, 0.481270),
    }  # fmt: skip
    fit = fit_incidence(data.transplants())
    found = {t: (fit.lost.cumulative(t + 1), fit.ready.cumulative(t + 1)) for t in printed}
    assert found == {
        t: (pytest.approx((dead, dead), abs=5e-7), pytest.approx((relapsed, relapsed), abs=5e-7))
        for t, (dead, relapsed) in printed.items()
    }
