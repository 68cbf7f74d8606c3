"""What is true on the invented farm, by integrals, by drawing, by the farm's own simulator; and
whether the estimates' 95 % limits hold it."""

import math
from datetime import date
from itertools import product
from pathlib import Path
from random import Random
from statistics import fmean

import numpy as np
import pytest

from api.database import open_database
from api.demo.farm import build
from api.demo.life import draw_fate
from api.demo.truth import (
    BASE_FACTOR,
    BASE_SHARE,
    CUT_SD_LOSS,
    CUT_SD_TIME,
    LOST_SCALE,
    LOST_SHAPE,
    METHODS,
    MOUTH_FACTOR,
    MOUTH_SHARE,
    READY_SHAPE,
    SPECIES_FACTOR,
    MethodTruth,
    true_median_ready,
    true_share_lost,
    true_share_ready,
)
from api.healing.asked import Asked
from api.healing.report import report
from api.records.clock import milliseconds

TODAY = date(2026, 11, 25)
DAYS = (20, 60, 100, 140, 200)
each_method = pytest.mark.parametrize("method", METHODS, ids=lambda m: m.key)


@each_method
def test_the_truth_by_quadrature_is_that_of_many_simulated_pieces(method: MethodTruth) -> None:
    """The second way: the model drawn a million times, instead of integrated."""
    random, count = np.random.default_rng(7), 1_000_000
    logit = np.log(method.lost / (1 - method.lost)) + random.normal(0, CUT_SD_LOSS, count)
    is_lost = random.random(count) < 1 / (1 + np.exp(-logit))
    lost_day = LOST_SCALE * random.weibull(LOST_SHAPE, count)
    species = random.choice(list(SPECIES_FACTOR.values()), count)
    mouth = random.choice([MOUTH_FACTOR[m] for m in MOUTH_SHARE], count,
                          p=list(MOUTH_SHARE.values()))  # fmt: skip
    base = random.choice([BASE_FACTOR[b] for b in BASE_SHARE], count, p=list(BASE_SHARE.values()))
    scale = method.scale * species * mouth * base * np.exp(random.normal(0, CUT_SD_TIME, count))
    ready_day = scale * random.weibull(READY_SHAPE, count)
    for day in DAYS:
        lost = np.mean(is_lost & (lost_day <= day))
        ready = np.mean(~is_lost & (ready_day <= day))
        assert abs(true_share_lost(method, day) - lost) < 0.002
        assert abs(true_share_ready(method, day) - ready) < 0.002


@each_method
def test_the_farms_simulator_draws_from_that_truth(method: MethodTruth) -> None:
    """40,000 fates as the farm draws them; 0.01 is four standard errors of a share."""
    random, count = Random(11), 40_000
    lost, ready = np.zeros(len(DAYS)), np.zeros(len(DAYS))
    for _ in range(count):
        made = (
            random.choice(list(SPECIES_FACTOR)),
            random.choices(list(MOUTH_SHARE), list(MOUTH_SHARE.values()))[0],
            random.choices(list(BASE_SHARE), list(BASE_SHARE.values()))[0],
        )
        gone, done = draw_fate(random, method, made, random.gauss(0, CUT_SD_TIME),
                               random.gauss(0, CUT_SD_LOSS))  # fmt: skip
        assert (gone is None) != (done is None)
        lost += [gone is not None and gone <= day for day in DAYS]
        ready += [done is not None and done <= day for day in DAYS]
    assert np.allclose(lost / count, [true_share_lost(method, day) for day in DAYS], atol=0.01)
    assert np.allclose(ready / count, [true_share_ready(method, day) for day in DAYS], atol=0.01)


def test_the_median_is_where_the_curve_is_a_half_or_nowhere() -> None:
    for method in METHODS:
        median = true_median_ready(method)
        assert median is not None
        assert abs(true_share_ready(method, median) - 0.5) < 1e-3
    assert true_median_ready(MethodTruth("method.none", 100.0, 0.7)) is None


@each_method
def test_species_mouth_and_base_each_slow_the_simulator_as_much_as_is_true(
    method: MethodTruth,
) -> None:
    """The averaged curves hardly show one factor, so each mixture is drawn alone: the mean of a
    Weibull time is scale x Gamma(1 + 1 / shape). 2 % is over four standard errors of 4,000."""
    random = Random(13)
    for made in product(SPECIES_FACTOR, MOUTH_FACTOR, BASE_FACTOR):
        fates = (draw_fate(random, method, made, 0.0, -50.0) for _ in range(4000))
        mean = fmean(ready for _, ready in fates if ready is not None)
        species, mouth, base = made
        scale = method.scale * SPECIES_FACTOR[species] * MOUTH_FACTOR[mouth] * BASE_FACTOR[base]
        assert mean == pytest.approx(scale * math.gamma(1 + 1 / READY_SHAPE), rel=0.02)
    assert BASE_FACTOR["base.hex-50"] > BASE_FACTOR["base.hex-40"]
    assert sum(BASE_SHARE.values()) == sum(MOUTH_SHARE.values()) == 1.0


@pytest.mark.anyio
async def test_the_limits_hold_the_truth_on_nearly_every_farm(tmp_path: Path) -> None:
    """Seeds 1 to 3, none chosen: of 18 limits of 95 % fewer than 14 hold once in 5,000 times, by
    the binomial distribution if they were independent."""
    held = []
    for seed in (1, 2, 3):
        db = await open_database(tmp_path / f"{seed}.sqlite")
        await build(db, TODAY, seed)
        groups = (await report(db, Asked(), milliseconds("2026-11-25T12:00:00.000Z"))).groups
        await db.close()
        assert {group.key for group in groups} == {method.key for method in METHODS}
        for method in METHODS:
            [group] = [group for group in groups if group.key == method.key]
            median, loss, truth = group.median, group.loss, true_median_ready(method)
            assert group.show == "full"
            assert median is not None
            assert loss is not None
            assert truth is not None
            held.append(median.low <= truth and (median.high is None or truth <= median.high))
            held.append(loss.low <= true_share_lost(method, loss.horizon) <= loss.high)
    assert len(held) == 18
    assert sum(held) >= 14
