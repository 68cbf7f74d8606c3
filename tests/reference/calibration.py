"""Do predictions keep their word? Farms with a known truth, seen up to a day, then watched on.

    python -m tests.reference.calibration --farms 60

Prints how often what was said to be likely came true, how often ranges held, how far chances were
off beside the plain curve of the method, and what pooling is worth. Each number is over farms.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from api.healing.errors import NotSettledError
from api.healing.incidence import fit_incidence
from api.healing.predict.chance import predict
from api.healing.predict.forecast import forecast
from api.healing.predict.mixture import log_day, log_power, log_shares
from api.healing.predict.model import Model, Standing
from api.healing.predict.pooled import fit
from api.healing.rows import Cause, IntervalRows
from tests.reference.simulated import outcomes

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]
AHEAD = (7, 14, 28)
WEEKS = 6


@dataclass(frozen=True)
class Past:
    """Pieces as seen by `today`, and what became of them: `lost`, exact `time`."""

    rows: IntervalRows
    method: Whole
    x: Array
    today: Whole
    lost: npt.NDArray[np.bool_]
    time: Array

    @property
    def standing(self) -> Standing:
        r, s = self.rows, self.rows.cause == Cause.STILL
        return Standing.of(
            r.left[s], r.right[s], self.today[s], self.method[s], r.cluster[s], self.x[s]
        )


def past_of(random: np.random.Generator, cuts: int = 30, pieces: int = 8, methods: int = 3) -> Past:
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
    gap, first = 7, random.integers(3, 8, cuts)[cut]
    seen = np.where(today >= first, (today - first) // gap, -1)
    last = np.where(seen >= 0, first + gap * seen, 0)
    after = np.maximum(np.ceil((time - first) / gap), 0)
    right = (first + gap * after).astype(np.int64)
    left = np.where(after > 0, right - gap, 0)
    event = right <= last
    cause = np.where(event, np.where(lost, Cause.LOST, Cause.READY), Cause.STILL)
    rows = IntervalRows.of(np.where(event, left, last), np.where(event, right, last), cause, cut)
    return Past(rows, method, x, today, lost, time)


@dataclass
class Tally:
    """One entry a piece (said, came true, plain curve's chance), a range, or a farm's week."""

    said: list[Array]
    true: list[Array]
    plain: list[Array]
    held: list[Array]
    weeks: list[Array]
    outside: int = 0


def plain_chance(past: Past, standing: Standing, day: Array) -> Array:
    """[F1(d) - F1(a)] / [1 - F1(a) - F2(a)] of the curves of the method; 0 where it is 0 / 0."""
    found = np.zeros(day.size)
    for code in np.unique(standing.group):
        fitted = fit_incidence(past.rows.select(past.method == code))
        here = standing.group == code
        a, d = standing.left[here], np.floor(day[here])
        # Within an interval, and beyond the last look, the middle of what is possible.
        before, lost = (sum(c.bounds(a)) / 2 for c in (fitted.ready, fitted.lost))
        by = sum(fitted.ready.bounds(d)) / 2
        left_over = np.maximum(1.0 - before - lost, 1e-9)
        found[here] = np.clip((by - before) / left_over, 0.0, 1.0)
    return found


def tally(farms: int, seed: int) -> Tally:
    """Predictions for the pieces still healing in `farms` farms, beside what became of them."""
    found = Tally([], [], [], [], [])
    for farm in range(farms):
        past = past_of(np.random.default_rng([seed, farm]))
        standing, still = past.standing, past.rows.cause == Cause.STILL
        time, ready = past.time[still], ~past.lost[still]
        model = fit(past.rows, past.method, past.x)
        chances = predict(model, standing, AHEAD)
        for k, days in enumerate(AHEAD):
            day = (standing.today + days).astype(float)
            found.said.append(chances.ready_by[:, k])
            found.true.append((ready & (time <= day)).astype(float))
            found.plain.append(plain_chance(past, standing, day))
        day = np.ceil(time)
        found.held.append(((chances.low <= day) & (day <= chances.high))[ready])
        found.outside += int(chances.outside.sum())
        coming = forecast(model, standing, WEEKS).by
        ends = standing.today[:, None] + 7 * np.arange(1, WEEKS + 1)
        count = (ready[:, None] & (time[:, None] <= ends)).sum(axis=0)
        inside = [
            (coming.low_80 <= count) & (count <= coming.high_80),
            (coming.low_95 <= count) & (count <= coming.high_95),
        ]
        found.weeks.append(np.array(inside, float))
    return found


def reliability(said: Array, true: Array, parts: int = 10) -> list[tuple[int, float, float]]:
    """(pieces, mean said, share that came true) by tenths of what was said."""
    order = np.array_split(np.argsort(said, kind="stable"), parts)
    return [(part.size, float(said[part].mean()), float(true[part].mean())) for part in order]


SIZES = (150, 40, 20, 10)


def pooling_error(farms: int, seed: int) -> dict[int, list[float]]:
    """RMSE of P(ready by t), t = 20, 30, 40, 50, 60, by pieces in the method: pooled, the method
    alone, and the plain curve. Eight methods, two of each size, cuts of ten that are all alike."""
    days, errors = np.array([20, 30, 40, 50, 60]), {size: [] for size in SIZES}
    for farm in range(farms):
        random = np.random.default_rng([seed, 1, farm])
        sizes = np.repeat(SIZES, 2)
        speed, odds = np.exp(random.normal(0, 0.2, 8)), random.normal(-1.3, 0.5, 8)
        method = np.repeat(np.arange(8), sizes)
        lost, time = outcomes(random, speed[method], odds[method])
        last = random.integers(4, 11, method.size) * 7
        looks, seen = (np.ceil(time / 7) * 7).astype(int), time <= last
        rows = IntervalRows.of(
            np.where(seen, looks - 7, last), np.where(seen, looks, last),
            np.where(seen, np.where(lost, Cause.LOST, Cause.READY), Cause.STILL),
            np.arange(method.size) // 10,
        )  # fmt: skip
        pooled = fit(rows, method)
        for code, size in enumerate(sizes):
            share = (1 - 1 / (1 + np.exp(-odds[code]))) * (
                1 - np.exp(-((np.maximum(days - 1, 0) / (35 * speed[code])) ** 3))
            )
            own = rows.select(method == code)
            found = [curve_of(pooled, code, days), alone(own, code, days)]
            found.append(sum(fit_incidence(own).ready.bounds(days)) / 2)
            errors[int(size)].append([float(((one - share) ** 2).mean()) for one in found])
    return {size: np.sqrt(np.mean(one, axis=0)).tolist() for size, one in errors.items()}


def alone(rows: IntervalRows, code: int, days: Whole) -> Array:
    try:
        return curve_of(fit(rows, np.full(rows.left.size, code)), code, days)
    except NotSettledError:
        return np.full(days.size, 0.5)


def curve_of(model: Model, code: int, days: Whole) -> Array:
    """F_ready of a method at `days` in a cut not seen before, averaged over draws."""
    zero = np.zeros(1, np.int64)
    piece = Standing.of(zero, zero, zero, zero + code, zero - 1)
    five = model.draws(piece, 400).five(np.arange(1))[:, 0]
    u = np.exp(log_power(log_day(days)[:, None], five[:, 1], five[:, 3]))
    return (np.exp(log_shares(five[:, 0])[0]) * -np.expm1(-u)).mean(axis=1)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--farms", type=int, default=60)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    found = tally(given.farms, given.seed)
    said, true, plain = (np.concatenate(one) for one in (found.said, found.true, found.plain))
    print("pieces  said  came true")
    for pieces, mean, share in reliability(said, true):
        print(f"{pieces:6d}  {mean:.3f}  {share:.3f}")
    print(f"Brier: model {((said - true) ** 2).mean():.4f}, plain curve "
          f"{((plain - true) ** 2).mean():.4f}")  # fmt: skip
    print(f"80 % range of the day held {np.concatenate(found.held).mean():.3f}; "
          f"{found.outside} pieces outside the model")  # fmt: skip
    print("numbers by week, 80 and 95 %:", np.mean(found.weeks, axis=0).round(3).tolist())
    print("RMSE of P(ready by t): pooled, alone, plain curve")
    for size, errors in pooling_error(given.farms, given.seed).items():
        print(f"{size:4d}  " + "  ".join(f"{one:.3f}" for one in errors))


if __name__ == "__main__":
    main()
