"""How often the intervals hold a truth that is known: nominal 95 %, cuts that differ."""

import numpy as np

from api.healing.bands import Band, band_of
from api.healing.incidence import fit_incidence
from api.healing.resample import Replicates, drawn_again, leave_one_out
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import Farm, rows_of, truth

READY = Cause.READY


def covers(found: Band, share_by_day: np.ndarray) -> list[bool]:
    """Whether the band holds the truth: the day half are ready, F on days 30 and 40."""
    half, reached = int(np.argmax(share_by_day >= 0.5)), found.quantile(0.5)
    inside = [found.at(day)[0] <= share_by_day[day] <= found.at(day)[1] for day in (30, 40)]
    day_inside = reached is not None and reached.low <= half <= (reached.high or 10**6)
    return [day_inside, *inside]


def of_cuts(rows: IntervalRows) -> Replicates:
    return leave_one_out(rows, fit_incidence(rows))


def of_pieces(rows: IntervalRows) -> Replicates:
    alone = IntervalRows.of(rows.left, rows.right, rows.cause, np.arange(rows.left.size))
    return drawn_again(alone, fit_incidence(alone), seed=1, draws=30)


def test_coverage_when_cuts_differ():
    """250 simulated farms of six cuts; nominal 95 %. Pieces drawn one by one are the control:
    that ignores what a cut shares, and must be seen to cover too little."""
    farm = Farm(cuts=6, pieces=8)
    share_by_day, _ = truth(farm, 120)
    held: dict[str, list[list[bool]]] = {"cuts": [], "pieces": []}
    for run in range(250):
        rows = rows_of(farm, np.random.default_rng(1000 + run))
        fit = fit_incidence(rows)
        held["cuts"].append(covers(band_of(fit, READY, of_cuts(rows)), share_by_day))
        held["pieces"].append(covers(band_of(fit, READY, of_pieces(rows)), share_by_day))
    cuts, pieces = np.mean(held["cuts"], axis=0), np.mean(held["pieces"], axis=0)
    assert cuts.min() >= 0.90
    assert pieces.max() <= 0.90
    assert np.all(cuts - pieces >= 0.05)
