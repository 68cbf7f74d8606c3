"""What the last look saw of mouth and encrustation, brought into a piece's chances.

The model says of a piece still healing at s that it gets ready with chance r, and that
u(T) - u(s) is then a standard exponential time, however far it has come. Where looks tell more,
    logit r' = logit r + a,     (u(T) - u(s)) ~ Weibull(scale exp(g), shape k),
a and g being sums of a level, a slope on log u(s), and a term for each stage of the mouth and each
step of encrustation; all of them 0 and k = 1 is the model as it was. This is prediction by
landmarking (van Houwelingen 2007, Scand J Stat 34:70): the terms are learnt from earlier looks,
each with what became of the piece later. A stage nobody recorded adds nothing.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import RowsError
from api.healing.predict.climb import Top
from api.healing.predict.columns import whole_column
from api.healing.rows import FloatArray, IntArray

MOUTHS, STEPS = 4, 5
NOT_SEEN = -1
TRENDS = 2
WIDTH = TRENDS + MOUTHS + STEPS
# log u(s) about that of a piece a good half through, within what looks are made at.
MIDDLE, EARLIEST, LATEST = -1.0, -8.0, 2.0


@dataclass(frozen=True)
class Seen:
    """Of p pieces or looks: `mouth` (p,) 0 none, 1 bud, 2 open, 3 feeding, and `encrustation` (p,)
    0 to 4; NOT_SEEN where it was never recorded. Build it with `of`."""

    mouth: IntArray
    encrustation: IntArray

    @classmethod
    def of(cls, mouth: npt.ArrayLike, encrustation: npt.ArrayLike) -> Seen:
        """Checked; RowsError for shapes or for stages and steps that do not exist."""
        size = int(np.size(mouth))
        columns = []
        for name, values, most in (
            ("mouth", mouth, MOUTHS), ("encrustation", encrustation, STEPS)
        ):  # fmt: skip
            column = whole_column(name, values, size)
            bad = (column < NOT_SEEN) | (column >= most)
            if bad.any():
                raise RowsError(
                    f"Piece {int(np.argmax(bad))}: '{name}' is {int(column[bad][0])}; it goes from "
                    f"0 to {most - 1}, or is {NOT_SEEN} where it was not seen."
                )
            columns.append(column)
        return cls(*columns)

    @classmethod
    def nothing(cls, size: int) -> Seen:
        """As if nothing had been recorded of `size` pieces."""
        return cls(np.full(size, NOT_SEEN), np.full(size, NOT_SEEN))

    def part(self, index: IntArray) -> Seen:
        """Some of them."""
        return Seen(self.mouth[index], self.encrustation[index])

    def classes(self) -> FloatArray:
        """A column for each stage and each step, (p, MOUTHS + STEPS), of 0 and 1."""
        return np.concatenate((
            self.mouth[:, None] == np.arange(MOUTHS),
            self.encrustation[:, None] == np.arange(STEPS),
        ), axis=1).astype(np.float64)  # fmt: skip


@dataclass(frozen=True)
class Shifts:
    """For M draws and p pieces: `fate` (M, p) is a, `scale` (M, p) is g, `shape` (M, 1) is k."""

    fate: FloatArray
    scale: FloatArray
    shape: FloatArray


@dataclass(frozen=True)
class Landmark:
    """What earlier looks taught. `top` is over WIDTH + 1 columns (the last is the model's own
    logit); `pieces` were resolved after a look, and `gain` is what a piece's log-likelihood gained
    on average in cuts that were left out of the learning."""

    top: Top
    pieces: int
    gain: float

    def draws(self, count: int, seed: int) -> tuple[FloatArray, FloatArray]:
        """(coefficients (count, WIDTH, 2) of a and g, shape (count,)), as sure as they are."""
        step, _ = self.top.curvature.draws(np.random.default_rng([seed, 2]), count)
        at, size = self.top.at, self.top.at.outer.size
        outer = at.outer + np.swapaxes(step[:, :size].reshape(count, 3, -1), 1, 2)
        return outer[:, :WIDTH, :2], np.exp(at.shape[0] + step[:, size])


def trend(log_u: FloatArray) -> FloatArray:
    """log u(s) as the slope takes it."""
    return np.clip(log_u, EARLIEST, LATEST) - MIDDLE


def shifts_of(drawn: tuple[FloatArray, FloatArray], log_u: FloatArray, seen: Seen) -> Shifts:
    """The shifts of p pieces with log_u (M, p) at their last looks, and what these saw."""
    coefficients, shape = drawn
    fixed = np.moveaxis(seen.classes() @ coefficients[:, TRENDS:], 2, 0)
    level, slope = np.moveaxis(coefficients[:, :TRENDS], 0, -1)[..., None]
    fate, scale = fixed + level + slope * trend(log_u)
    return Shifts(fate, scale, shape[:, None])
