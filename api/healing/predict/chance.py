"""What may be said of each piece that is still healing.

    P(ready by d | still healing at a, alive at b) = [F1(d) - F1(a)] / [1 - F1(a) - F2(b)]
                                                   = r (1 - exp(u(a) - u(d))),
r being the chance that the piece is one of those that get ready, given that it is still healing.
It is conditioned on the last look, not on today: what happened since is not known. Chances are
means over draws of the effects, so they carry how unsure the model is of them.

Outside the model: a piece is so labelled where fewer than 1 in 100 such pieces (its method and
traits, of any cut) would still be healing at its last look. Nothing is then promised of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import ShareError
from api.healing.predict.landmark import Seen, Shifts, shifts_of
from api.healing.predict.mixture import log_day, log_power, log_shares
from api.healing.predict.model import Draws, Model, Standing
from api.healing.rows import MAX_DAY, BoolArray, FloatArray, IntArray

DRAWS = 200
OUTSIDE = 0.01
MIDDLE_80 = (0.1, 0.5, 0.9)
# Pieces at a time: some 25 MB.
PAGE = 1000


@dataclass(frozen=True)
class Chances:
    """Of p pieces. ready_by (p, h): ready by the asked days; ready_now and ever (p,): by today, and
    at any time. low, median, high (p,): whole days since the cut between which a piece gets ready
    with a chance of 80 %, should it get ready; MAX_DAY + 1 stands for later than MAX_DAY.
    outside (p,): see the head of this file."""

    ready_by: FloatArray
    ready_now: FloatArray
    ever: FloatArray
    low: IntArray
    median: IntArray
    high: IntArray
    outside: BoolArray


def predict(
    model: Model, pieces: Standing, days: npt.ArrayLike = (), seed: int = 0
) -> Chances:  # fmt: skip
    """Chances of each piece, to be ready `days` (h,) days from today too. `seed` settles the draws.

    ShareError for days that are not finite or negative; RowsError for traits of another width.
    """
    ahead = np.atleast_1d(np.asarray(days, np.float64))
    if ahead.ndim != 1 or not (np.isfinite(ahead).all() and (ahead >= 0.0).all()):
        raise ShareError("Days ahead are finite and not negative.")
    draws, hints = model.draws(pieces, DRAWS, seed), Hints.of(model, DRAWS, seed)
    size, parts = pieces.left.size, []
    order = np.random.default_rng(seed).permutation(DRAWS)
    for begin in range(0, size, PAGE):
        index = np.arange(begin, min(begin + PAGE, size))
        parts.append(_page(draws, hints, pieces.part(index), index, ahead, order))
    if not parts:
        none, days_none = np.zeros(0), np.zeros(0, np.int64)
        return Chances(
            np.zeros((0, ahead.size)), none, none, days_none, days_none, days_none,
            np.zeros(0, np.bool_),
        )  # fmt: skip
    return Chances(*(np.concatenate(column) for column in zip(*parts, strict=True)))


@dataclass(frozen=True)
class Hints:
    """Draws of what a look's findings do (`landmark`), or None where they do nothing."""

    drawn: tuple[FloatArray, FloatArray] | None

    @classmethod
    def of(cls, model: Model, count: int, seed: int) -> Hints:
        """As many draws as there are of the model."""
        return cls(None if model.landmark is None else model.landmark.draws(count, seed))

    def shifts(self, five: FloatArray, pieces: Standing) -> Shifts | None:
        """What they do to these pieces' chances in each draw."""
        if self.drawn is None:
            return None
        log_u = log_power(log_day(pieces.left), five[..., 1], five[..., 3])
        seen = pieces.seen or Seen.nothing(pieces.left.size)
        return shifts_of(self.drawn, log_u, seen)


def fate(five: FloatArray, pieces: Standing, shifts: Shifts | None = None) -> FloatArray:
    """r: the chance to be one that gets ready, given still healing at `left`, alive at `alive`."""
    pi, rest = log_shares(five[..., 0])
    u = np.exp(log_power(log_day(pieces.left), five[..., 1], five[..., 3]))
    v = np.exp(log_power(log_day(pieces.alive), five[..., 2], five[..., 4]))
    ready = pi - u if shifts is None else pi - u + shifts.fate
    found: FloatArray = np.exp(ready - np.logaddexp(ready, rest - v))
    return found


def ready_between(
    five: FloatArray, left: IntArray, day: FloatArray, shifts: Shifts | None = None
) -> FloatArray:
    """1 - exp(u(left) - u(day)), shifted: ready by `day`, of those that get ready after `left`."""
    u, v = (np.exp(log_power(log_day(t), five[..., 1], five[..., 3])) for t in (left, day))
    wait = np.maximum(v - u, 0.0)
    if shifts is not None:
        log_wait = np.log(np.maximum(wait, 1e-300)) - shifts.scale
        wait = np.where(wait > 0.0, np.exp(np.clip(shifts.shape * log_wait, -700.0, 40.0)), 0.0)
    found: FloatArray = -np.expm1(-wait)
    return found


def day_ready(
    five: FloatArray, left: IntArray, wait: FloatArray, shifts: Shifts | None = None
) -> FloatArray:
    """The exact time at which 1 - exp(u(left) - u(t)) = 1 - exp(-wait): u(t) = u(left) + wait, or
    with `wait` to the power 1 / k and on the scale of the shifts in its place."""
    u = np.exp(log_power(log_day(left), five[..., 1], five[..., 3]))
    if shifts is not None:
        log_wait = shifts.scale + np.log(np.maximum(wait, 1e-300)) / shifts.shape
        wait = np.exp(np.clip(log_wait, -700.0, 40.0))
    log_time = five[..., 1] + np.exp(-five[..., 3]) * np.log(u + wait)
    found: FloatArray = np.exp(np.clip(log_time, -50.0, 30.0))
    return found


def _page(
    draws: Draws, hints: Hints, pieces: Standing, index: IntArray, ahead: FloatArray,
    order: IntArray,
) -> tuple[FloatArray | IntArray | BoolArray, ...]:  # fmt: skip
    five = draws.five(index)
    shifts = hints.shifts(five, pieces)
    r = fate(five, pieces, shifts)
    when = pieces.today[:, None] + np.concatenate(([0.0], ahead))
    by = np.stack(
        [(r * ready_between(five, pieces.left, day, shifts)).mean(axis=0) for day in when.T],
        axis=1,
    )
    # One quantile of the waiting time a draw, in an order of no meaning: stratified sampling.
    wait = -np.log((order + 0.5) / order.size)[:, None]
    low, median, high = _weighted(day_ready(five, pieces.left, wait, shifts), r, pieces.left)
    outside = _still(draws.five(index, own_cut=False), pieces) < OUTSIDE
    return by[:, 1:], by[:, 0], r.mean(axis=0), low, median, high, outside


def _still(five: FloatArray, pieces: Standing) -> FloatArray:
    """The share of such pieces that would be healing yet at the last look, (p,)."""
    pi, rest = log_shares(five[..., 0])
    u = np.exp(log_power(log_day(pieces.left), five[..., 1], five[..., 3]))
    v = np.exp(log_power(log_day(pieces.alive), five[..., 2], five[..., 4]))
    found: FloatArray = np.exp(np.logaddexp(pi - u, rest - v)).mean(axis=0)
    return found


def _weighted(times: FloatArray, weight: FloatArray, left: IntArray) -> list[IntArray]:
    """The day (t in (d - 1, d]) of the 10, 50 and 90 % quantile of each column of `times`."""
    order = np.argsort(times, axis=0)
    times = np.take_along_axis(times, order, axis=0)
    reached = np.cumsum(np.take_along_axis(weight, order, axis=0) + 1e-300, axis=0)
    reached /= reached[-1]
    found = []
    for share in MIDDLE_80:
        first = np.argmax(reached >= share - 1e-12, axis=0)
        exact = np.take_along_axis(times, first[None], axis=0)[0]
        found.append(np.clip(np.ceil(exact), left + 1, MAX_DAY + 1).astype(np.int64))
    return found
