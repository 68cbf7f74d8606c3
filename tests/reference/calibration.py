"""Do predictions keep their word? Farms with a known truth, seen up to a day, then watched on.

    python -m tests.reference.calibration --farms 400 --out fixtures/healing/calibration.txt

Writes how often what was said to be likely came true, how often ranges held, how far chances were
off beside the plain curve of the method, what pooling is worth, and what the last look adds. Each
number is over farms.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

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
from tests.reference.looks_runs import AHEAD, WEEKS, table
from tests.reference.seen_farms import Past, past_of
from tests.reference.simulated import outcomes

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]


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
        standing, still = past.standing(seen=False), past.still
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


HEAD = """\
Do predictions keep their word? {farms} simulated farms of 30 cuts of 8 pieces, 3 methods.
Made by: python -m tests.reference.calibration --farms {farms} --seed {seed} --out
fixtures/healing/calibration.txt
Goal of the weeks' 95 % limits: 93-97. Chance alone moves an entry by +-{error:.1f} (one standard
error).
"""


def lines(farms: int, seed: int) -> Iterator[str]:
    """The whole table, a line at a time."""
    yield HEAD.format(farms=farms, seed=seed, error=100 * (0.95 * 0.05 / farms) ** 0.5)
    found = tally(farms, seed)
    said, true, plain = (np.concatenate(one) for one in (found.said, found.true, found.plain))
    yield "chances to be ready 7, 14 and 28 days on, in tenths\npieces  said  came true"
    for pieces, mean, share in reliability(said, true):
        yield f"{pieces:6d}  {mean:.3f}  {share:.3f}"
    model, curve = ((one - true) ** 2 for one in (said, plain))
    yield f"Brier: model {model.mean():.4f}, plain curve {curve.mean():.4f}"
    held = np.concatenate(found.held).mean()
    yield f"80 % range of the day held {held:.3f}; {found.outside} pieces outside the model"
    for name, weeks in zip(("80", "95"), np.mean(found.weeks, axis=0), strict=True):
        held_by = " ".join(f"{100 * one:5.1f}" for one in weeks)
        yield f"{name} % limits of the number ready by the end of weeks 1 to 6 held {held_by}"
    yield "\nRMSE of P(ready by t) by pieces in the method: pooled, alone, plain curve"
    for size, errors in pooling_error(max(farms // 5, 1), seed).items():
        yield f"{size:4d}  " + "  ".join(f"{one:.3f}" for one in errors)
    yield ""
    yield from table(max(farms // 2, 1), seed)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--farms", type=int, default=60)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--out", type=Path)
    given = asked.parse_args()
    kept: list[str] = []
    for line in lines(given.farms, given.seed):
        print(line, flush=True)
        kept.append(line)
    if given.out is not None:
        given.out.write_text("\n".join(kept) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
