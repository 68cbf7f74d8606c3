"""Learning from earlier looks what mouth and encrustation tell (see `landmark`).

Each earlier look at a piece whose fate is known, or that was watched on, is an observation: on the
clock u(t) - u(s) it is ready, lost or still healing as in `mixture`, so that the same climb serves.
All looks together weigh as many as there are pieces, since a piece's looks are alike; few looks
change nothing, and what foretells nothing is not used (`landmark_terms`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import NotSettledError, RowsError
from api.healing.predict.columns import columns_of, whole_column
from api.healing.predict.landmark import Landmark, Seen, trend
from api.healing.predict.landmark_terms import Watched, gain_of, part_of, settled
from api.healing.predict.mixture import LOG_ZERO, Bounds, log_day, log_power, log_shares
from api.healing.predict.model import Model, Standing
from api.healing.rows import BoolArray, Cause, FloatArray, IntArray, IntervalRows

FEWEST_PIECES, FEWEST_CUTS = 20, 4
MOST_PIECES, MOST_LOOKS = 1500, 3
"""More than this teach nothing further: a seeded choice of pieces, and of each one's looks."""
# Beyond, the model had given a piece up: its clock says nothing.
LATEST_CLOCK, SUREST = 5.0, 12.0


@dataclass(frozen=True)
class Looks:
    """L looks: `row` (L,) the row of the fit, which stands for one piece, `day` (L,) days since
    its cut, `seen` what was known of mouth and encrustation by then. Build it with `of`."""

    row: IntArray
    day: IntArray
    seen: Seen

    @classmethod
    def of(
        cls, row: npt.ArrayLike, day: npt.ArrayLike, mouth: npt.ArrayLike,
        encrustation: npt.ArrayLike,
    ) -> Looks:  # fmt: skip
        """Checked; RowsError for shapes, days before the cut or stages that do not exist."""
        size = int(np.size(row))
        found = cls(whole_column("row", row, size), whole_column("day", day, size),
                    Seen.of(mouth, encrustation))  # fmt: skip
        if found.seen.mouth.size != size:
            raise RowsError(f"There are {size} looks and {found.seen.mouth.size} mouths.")
        bad = (found.row < 0) | (found.day < 0)
        if bad.any():
            raise RowsError(f"Look {int(np.argmax(bad))}: no such row, or a day before the cut.")
        return found

    def part(self, index: IntArray) -> Looks:
        """Some of the looks."""
        return Looks(self.row[index], self.day[index], self.seen.part(index))


def learn(
    model: Model,
    rows: IntervalRows,
    group: npt.ArrayLike,
    x: npt.ArrayLike | None,
    looks: Looks,
) -> Landmark | None:
    """What `looks` teach; None where they are too few, or where it foretells nothing better.

    `rows`, `group` and `x` as in `pooled.fit`, a row a piece. RowsError for looks at rows that
    there are not, and for input that `fit` refuses.
    """
    codes, traits = columns_of(rows, group, x)
    if looks.row.size and looks.row.max() >= rows.left.size:
        raise RowsError(f"A look names row {int(looks.row.max())} of {rows.left.size}.")
    chosen, times = _chosen(rows, looks)
    row = chosen.row
    # As if each cut were new: its own effect has learnt from the very pieces that are foretold.
    new = np.full(row.size, model.cuts.max() + 1)
    pieces = Standing(chosen.day, chosen.day, chosen.day, codes[row], new, traits[row])
    at = _watched(model.best(pieces), rows.select(row), chosen, times)
    if at.pieces < FEWEST_PIECES or np.unique(at.cluster).size < FEWEST_CUTS:
        return None
    try:
        gain = gain_of(at)
        return None if gain is None else Landmark(settled(at), at.pieces, gain)
    except NotSettledError:
        return None


def _chosen(rows: IntervalRows, looks: Looks) -> tuple[Looks, FloatArray]:
    """Looks after which the piece was watched on; of many pieces some, of each at most three, and
    how many looks each stands for: were a piece's looks to share one weight, those of slow pieces,
    which are many, would count for less and all would look faster than they are."""
    useful = np.flatnonzero(looks.day < np.where(
        rows.cause[looks.row] == Cause.STILL, rows.left[looks.row], rows.left[looks.row] + 1
    ))  # fmt: skip
    random = np.random.default_rng(0)
    order = useful[random.permutation(useful.size)]
    order = order[np.argsort(looks.row[order], kind="stable")]
    _, start, code, count = np.unique(
        looks.row[order], return_index=True, return_inverse=True, return_counts=True
    )
    rank = np.arange(order.size) - start[code]
    few = random.permutation(start.size)[code] < MOST_PIECES
    taken = (rank < MOST_LOOKS) & few
    return looks.part(order[taken]), np.maximum(count / MOST_LOOKS, 1.0)[code[taken]]


def _watched(five: FloatArray, rows: IntervalRows, looks: Looks, times: FloatArray) -> Watched:
    """The looks on the clock of the model, whose five numbers of each are `five`."""
    log_u = log_power(log_day(looks.day), five[:, 1], five[:, 3])
    log_v = log_power(log_day(looks.day), five[:, 2], five[:, 4])
    pi, rest = log_shares(five[:, 0])
    logit = np.clip(pi - np.exp(log_u) - rest + np.exp(log_v), -SUREST, SUREST)
    one = np.ones((looks.day.size, 1))
    design = np.concatenate(
        (one, trend(log_u)[:, None], looks.seen.classes(), logit[:, None]), axis=1
    )
    bounds, known = _clock(five, rows, looks.day)
    keep = np.flatnonzero(known & (log_u < LATEST_CLOCK))
    pieces, weight = np.unique(looks.row[keep]).size, times[keep]
    weight = weight * (pieces / max(weight.sum(), 1.0))
    return Watched(
        part_of(bounds, rows.cause, keep), design[keep], weight, rows.cluster[keep], pieces
    )


def _clock(five: FloatArray, rows: IntervalRows, day: IntArray) -> tuple[Bounds, BoolArray]:
    """(log of u(t) - u(s), or of v for what concerns losses; which of them say anything)."""

    def since(days: IntArray, cause: int) -> FloatArray:
        powers = [np.exp(log_power(log_day(t), five[:, 1 + cause], five[:, 3 + cause]))
                  for t in (day, np.maximum(days, day))]  # fmt: skip
        gap = powers[1] - powers[0]
        return np.where(gap > 0.0, np.log(np.maximum(gap, 1e-300)), LOG_ZERO)

    ready = rows.cause == Cause.READY
    left = np.where(rows.cause == Cause.LOST, since(rows.left, 1), since(rows.left, 0))
    right = np.where(ready, since(rows.right, 0), since(rows.right, 1))
    kinds = (np.flatnonzero(rows.cause == kind) for kind in Cause)
    event = rows.cause != Cause.STILL
    return Bounds(left, right, *kinds), ~event | ((right > left) & (right < LATEST_CLOCK))
