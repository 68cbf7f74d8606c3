"""Farms whose looks at mouth and encrustation tell much, little or nothing of what comes.

A piece shows how far it has come, s / T with T its day of readiness (what will be lost, a day it
will not live to see, and it lags): thresholds on log(s / T) plus an error of the piece's own and
one of the look. Where looks tell nothing, T is some other piece's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.predict.landmark import Seen
from api.healing.predict.landmark_fit import Looks
from api.healing.predict.model import Standing
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import outcomes

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
Truth = npt.NDArray[np.bool_]
ERROR = {"much": 0.15, "little": 0.6, "nothing": 0.15}
MOUTH_AT, COVER_AT = np.log([0.3, 0.55, 0.85]), np.log([0.15, 0.4, 0.65, 0.9])
LAG, GAP = 0.4, 7


@dataclass(frozen=True)
class Past:
    """Pieces as seen by `today`, and what became of them: `lost`, exact `time`. `looks` are all
    looks before an event, `last` (n,) what the last of them knew."""

    rows: IntervalRows
    method: Whole
    x: Array
    today: Whole
    lost: Truth
    time: Array
    looks: Looks
    last: Seen

    @property
    def still(self) -> Truth:
        return np.asarray(self.rows.cause == Cause.STILL)

    def standing(self, *, seen: bool) -> Standing:
        r, s = self.rows, self.still
        last = self.last.part(np.flatnonzero(s)) if seen else None
        return Standing.of(
            r.left[s], r.right[s], self.today[s], self.method[s], r.cluster[s], self.x[s], last
        )


def past_of(
    random: np.random.Generator, tells: str = "much", cuts: int = 30, pieces: int = 8,
    methods: int = 3,
) -> Past:  # fmt: skip
    """Cuts made over 90 days, looked at weekly up to one day. Cuts and methods differ, size counts;
    losses and days are those of `simulated`, so no Weibull mixture is the truth."""
    n = cuts * pieces
    cut = np.repeat(np.arange(cuts), pieces)
    method = random.integers(0, methods, cuts)[cut]
    x = random.normal(0.0, 1.0, (n, 1))
    speed = np.exp(
        random.normal(0, 0.2, methods)[method] + random.normal(0, 0.25, cuts)[cut] + 0.15 * x[:, 0]
    )
    odds = random.normal(-1.3, 0.5, methods)[method] + random.normal(0, 0.6, cuts)[cut]
    lost, time = outcomes(random, speed, odds)
    today = random.integers(5, 90, cuts)[cut]
    first = random.integers(3, 8, cuts)[cut]
    seen = np.where(today >= first, (today - first) // GAP, -1)
    last = np.where(seen >= 0, first + GAP * seen, 0)
    after = np.maximum(np.ceil((time - first) / GAP), 0)
    right = (first + GAP * after).astype(np.int64)
    left = np.where(after > 0, right - GAP, 0)
    event = right <= last
    cause = np.where(event, np.where(lost, Cause.LOST, Cause.READY), Cause.STILL)
    rows = IntervalRows.of(np.where(event, left, last), np.where(event, right, last), cause, cut)
    looks, newest = _looks(random, tells, rows, first, np.where(lost, np.nan, time), speed)
    return Past(rows, method, x, today, lost, time, looks, newest)


def _looks(
    random: np.random.Generator, tells: str, rows: IntervalRows, first: Whole, ready: Array,
    speed: Array,
) -> tuple[Looks, Seen]:  # fmt: skip
    """Looks on days first, first + 7, ... up to `left`, and the newest of each piece."""
    n = rows.left.size
    goal = speed * 35.0 * random.weibull(3.0, n) + 1.0
    if tells == "nothing":
        away = np.exp(random.normal(0, 0.35, n))
        pace = np.log(goal / speed * away)
    else:
        doomed = np.isnan(ready)
        pace = np.log(np.where(doomed, goal, ready)) + LAG * doomed
    own = random.normal(0, ERROR[tells], (2, n))
    count = np.where(rows.left >= first, (rows.left - first) // GAP + 1, 0)
    row = np.repeat(np.arange(n), count)
    number = np.arange(row.size) - np.repeat(np.cumsum(count) - count, count)
    day = first[row] + GAP * number
    come = np.log(day) - pace[row] + own[:, row] + random.normal(0, ERROR[tells], (2, row.size))
    mouth, cover = np.searchsorted(MOUTH_AT, come[0]), np.searchsorted(COVER_AT, come[1])
    newest = np.full((2, n), -1)
    # Later looks come later in each row and stand.
    newest[:, row] = mouth, cover
    return Looks.of(row, day, mouth, cover), Seen.of(*newest)
