"""How often the intervals hold a truth that is known: nominal 95 %, cuts that differ.

`coverage.py` is the long form, over many designs.
"""

import numpy as np
import pytest

from api.healing import bands
from api.healing.bands import Band, band_of
from api.healing.incidence import fit_incidence
from api.healing.loss_share import share_lost
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of, truth

READY = Cause.READY


def covers(found: Band, share_by_day: np.ndarray, days: tuple[int, ...]) -> list[bool]:
    """Whether the band holds the truth: the day half are ready, F on `days`."""
    half, reached = int(np.argmax(share_by_day >= 0.5)), found.quantile(0.5)
    inside = [found.at(day)[0] <= share_by_day[day] <= found.at(day)[1] for day in days]
    day_inside = reached is not None and reached.low <= half <= (reached.high or 10**6)
    return [day_inside, *inside]


def of_pieces(rows: IntervalRows) -> Replicates:
    alone = IntervalRows.of(rows.left, rows.right, rows.cause, np.arange(rows.left.size))
    return drawn_again(alone, fit_incidence(alone), seed=1, draws=30)


def test_coverage_when_cuts_differ():
    """200 simulated farms of six cuts; nominal 95 %. Pieces drawn one by one are the control:
    that ignores what a cut shares, and must be seen to cover too little."""
    farm = Farm(cuts=6, pieces=8)
    ready, lost = truth(farm, 120)
    held: dict[str, list[list[bool]]] = {"cuts": [], "pieces": [], "lost": []}
    for run in range(200):
        rows = rows_of(farm, np.random.default_rng(1000 + run))
        fit = fit_incidence(rows)
        again = leave_one_out(rows, fit)
        held["cuts"].append(covers(band_of(fit, READY, again), ready, (30, 40)))
        if run % 2:
            held["pieces"].append(covers(band_of(fit, READY, of_pieces(rows)), ready, (30, 40)))
        shares = [share_lost(fit, again, day) for day in (14, 30)]
        held["lost"].append([
            one.low <= lost[day] <= one.high for one, day in zip(shares, (14, 30), strict=True)
        ])  # fmt: skip
    cuts, pieces = np.mean(held["cuts"], axis=0), np.mean(held["pieces"], axis=0)
    assert cuts.min() >= 0.90
    assert np.mean(held["lost"], axis=0).min() >= 0.92
    assert pieces.max() <= 0.90
    assert np.all(cuts - pieces >= 0.05)


def test_coverage_when_looks_are_sparse(monkeypatch: pytest.MonkeyPatch):
    """100 farms of 24 cuts looked at every 14 days, give or take 2. The estimate not averaged
    over the days between looks is the control: it must be seen to cover too little as the second
    round of looks begins."""
    farm, days = Farm(24, 8, 14, loss=-2.6), (24, 32)
    ready, _ = truth(farm, 120)
    held, control = [], []
    for run in range(100):
        rows = rows_of(farm, np.random.default_rng((8, run)))
        fit = fit_incidence(rows)
        again = leave_one_out(rows, fit)
        held.append(covers(band_of(fit, READY, again), ready, days))
        with monkeypatch.context() as patch:
            patch.setattr(bands, "half_width", lambda *_: 0.0)
            control.append(covers(band_of(fit, READY, again), ready, days))
    assert np.mean(held, axis=0).min() >= 0.90
    assert np.mean(control, axis=0)[1] <= 0.85
