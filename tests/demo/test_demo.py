"""The invented farm: the same each time, nothing refused, nothing that replay would change."""

from datetime import date
from pathlib import Path

import numpy as np
import pytest

from api.database import open_database
from api.demo.farm import build
from api.demo.truth import (
    CUT_SD_LOSS,
    CUT_SD_TIME,
    LOST_SCALE,
    LOST_SHAPE,
    METHODS,
    MOUTH_FACTOR,
    MOUTH_SHARE,
    READY_SHAPE,
    SPECIES_FACTOR,
    true_median_ready,
    true_share_lost,
    true_share_ready,
)
from api.healing.report import report
from api.records.clock import milliseconds
from api.stock.replay import replay

pytestmark = pytest.mark.anyio
TODAY = date(2026, 11, 25)


async def test_nothing_is_refused_and_replay_finds_no_difference(tmp_path: Path) -> None:
    db = await open_database(tmp_path / "demo.sqlite")
    facts = await build(db, TODAY)
    assert facts.answers == {"stored": facts.records}
    again = await replay(db)
    assert (again.records, again.pieces, again.differences) == (facts.records, facts.pieces, [])
    kinds = {row["kind"] for row in await db.rows("SELECT DISTINCT kind FROM log")}
    assert kinds == {
        "arrival", "bind", "care", "check", "cut", "cut_end", "define", "exit", "glue", "loss",
        "move", "note", "purpose", "ready", "retract", "water",
    }  # fmt: skip
    assert 6000 < facts.records < 14000
    assert 350 < facts.pieces < 700
    await db.close()


async def test_the_same_seed_gives_the_same_log(tmp_path: Path) -> None:
    logs = []
    for name in ("one", "two"):
        db = await open_database(tmp_path / f"{name}.sqlite")
        await build(db, TODAY)
        logs.append(await db.rows("SELECT seq, at, digest FROM log ORDER BY seq"))
        await db.close()
    assert logs[0] == logs[1]


@pytest.mark.parametrize("method", METHODS, ids=lambda m: m.key)
def test_the_truth_by_quadrature_is_that_of_many_simulated_pieces(method) -> None:
    """The second way: the model drawn a million times, instead of integrated."""
    random, count = np.random.default_rng(7), 1_000_000
    logit = np.log(method.lost / (1 - method.lost)) + random.normal(0, CUT_SD_LOSS, count)
    is_lost = random.random(count) < 1 / (1 + np.exp(-logit))
    lost_day = LOST_SCALE * random.weibull(LOST_SHAPE, count)
    species = random.choice(list(SPECIES_FACTOR.values()), count)
    mouth = random.choice([MOUTH_FACTOR[m] for m in MOUTH_SHARE], count,
                          p=list(MOUTH_SHARE.values()))  # fmt: skip
    scale = method.scale * species * mouth * np.exp(random.normal(0, CUT_SD_TIME, count))
    ready_day = scale * random.weibull(READY_SHAPE, count)
    for day in (20, 60, 100, 140, 200):
        lost = np.mean(is_lost & (lost_day <= day))
        ready = np.mean(~is_lost & (ready_day <= day))
        assert abs(true_share_lost(method, day) - lost) < 0.002
        assert abs(true_share_ready(method, day) - ready) < 0.002


async def test_the_estimates_hold_the_truth(tmp_path: Path) -> None:
    db = await open_database(tmp_path / "demo.sqlite")
    await build(db, TODAY)
    now = milliseconds("2026-11-25T12:00:00.000Z")
    found = {group.key: group for group in (await report(db, "method", "sale", now)).groups}
    await db.close()
    assert found.keys() == {method.key for method in METHODS}
    for method in METHODS:
        group = found[method.key]
        median, loss = true_median_ready(method), group.loss
        assert group.show == "full"
        assert group.median is not None
        assert group.median.high is not None
        assert median is not None
        assert group.median.low <= median <= group.median.high
        assert loss is not None
        assert loss.low <= true_share_lost(method, loss.horizon) <= loss.high
