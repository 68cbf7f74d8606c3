"""How many of the pieces now healing will be ready, week by week.

Each draw takes one set of effects (so that what is not known of methods, cuts and covariates moves
all its pieces together, and pieces of one cut, seen before or not, share that cut's), then one fate
and one day for each piece (the scatter that is left if everything were known). Intervals are
quantiles of the counts over draws.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from api.healing.errors import ShareError
from api.healing.predict.chance import PAGE, Hints, day_ready, fate
from api.healing.predict.model import Draws, Model, Standing
from api.healing.rows import BoolArray, FloatArray, IntArray

DRAWS = 1000
DAYS_A_WEEK = 7


@dataclass(frozen=True)
class Counts:
    """Numbers of pieces, all (weeks,): the mean and limits of the 80 and the 95 % interval."""

    mean: FloatArray
    low_80: FloatArray
    high_80: FloatArray
    low_95: FloatArray
    high_95: FloatArray


@dataclass(frozen=True)
class Forecast:
    """`by` counts pieces ready by the end of week 1, 2, ... from today, those that may be ready
    already among them; `within` those that get ready in each of these weeks (in the first, those
    that may be ready already are left out). `already` is the mean number ready by today.

    The app shows `within` and its 95 % limits; by `by` and the 80 % limits too the counts are held
    against what came true (tests/reference/calibration.py)."""

    by: Counts
    within: Counts
    already: float


def forecast(model: Model, pieces: Standing, weeks: int, seed: int = 0) -> Forecast:
    """The next `weeks` weeks, 1 to 520. The same seed gives the same answer.

    ShareError for another number of weeks; RowsError for traits of another width.
    """
    if not 1 <= weeks <= 520:
        raise ShareError(f"A forecast covers 1 to 520 weeks, not {weeks}.")
    random = np.random.default_rng(seed + 1)
    draws, hints = model.draws(pieces, DRAWS, seed), Hints.of(model, DRAWS, seed)
    counts = np.zeros((DRAWS, weeks + 1))
    step = max(1, PAGE * 200 // DRAWS)
    for begin in range(0, pieces.left.size, step):
        index = np.arange(begin, min(begin + step, pieces.left.size))
        ready, day = _fates(draws, hints, pieces.part(index), index, random)
        ahead = day - pieces.today[index]
        for week in range(weeks + 1):
            counts[:, week] += (ready & (ahead <= DAYS_A_WEEK * week)).sum(axis=1)
    already = float(counts[:, 0].mean())
    return Forecast(_counts(counts[:, 1:]), _counts(np.diff(counts, axis=1)), already)


def _fates(
    draws: Draws, hints: Hints, pieces: Standing, index: IntArray, random: np.random.Generator
) -> tuple[BoolArray, FloatArray]:
    """(whether it gets ready, the day if so) of each draw and piece, (M, p)."""
    five = draws.five(index)
    shifts = hints.shifts(five, pieces)
    chance = fate(five, pieces, shifts)
    ready = random.random(chance.shape) < chance
    wait = random.standard_exponential(chance.shape)
    return ready, np.ceil(day_ready(five, pieces.left, wait, shifts))


def _counts(counts: FloatArray) -> Counts:
    shares = (0.1, 0.9, 0.025, 0.975)
    # Limits are whole pieces, to the outside of the quantile.
    methods = ("lower", "higher", "lower", "higher")
    limits = [
        np.quantile(counts, share, axis=0, method=method)  # type: ignore[call-overload]
        for share, method in zip(shares, methods, strict=True)
    ]
    return Counts(counts.mean(axis=0), *limits)
