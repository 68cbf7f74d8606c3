"""The joint healing curves against libraries that fit one cause, in the same run.

Our fit starts from raw columns (checking, collapsing, intersections, both causes); the libraries
get arrays ready for them and one cause, losses taken as the end of watching. Both are timed in
turn, round by round, and the shortest of the rounds counts, since other work only ever adds time.
Speed is a ratio, and only counts because the curves agree: that is measured beside it.
"""

from collections.abc import Callable
from time import perf_counter
from typing import Any, TypeVar

import numpy as np
from lifelines import KaplanMeierFitter
from surpyval import Turnbull

from api.healing.bands import band_of, replicates_of
from api.healing.incidence import Incidence, fit_incidence
from api.healing.resample import drawn_again
from api.healing.rows import Cause, IntervalRows
from tests.bench.measure import Measure
from tests.reference.simulated import Farm, rows_of

T = TypeVar("T")

SIZES = (1_000, 10_000, 100_000)
ROUNDS = {1_000: 15, 10_000: 11, 100_000: 7}
CUT = 20
DRAWS = 500
REFITS = 5
LARGE = 1_000_000


def measures() -> list[Measure]:
    found = []
    for pieces in SIZES:
        rows = farm_rows(pieces)
        found += against_surpyval(rows) + against_lifelines(rows)
    return found + large_farm()


def farm_rows(pieces: int) -> IntervalRows:
    farm = Farm(cuts=pieces // CUT, pieces=CUT, speed_spread=0.25)
    return rows_of(farm, np.random.default_rng(pieces))


def against_surpyval(rows: IntervalRows) -> list[Measure]:
    size, one = rows.pieces, one_cause(rows)
    upper = np.where(one.cause == Cause.READY, one.right, np.inf)
    lower = one.left.astype(float)

    def theirs() -> Any:
        return Turnbull.fit(xl=lower, xr=upper, turnbull_estimator="Kaplan-Meier")

    (ours_s, fit), (theirs_s, their_fit) = in_turn(lambda: joint(rows), theirs, ROUNDS[size])
    curve = joint(one).ready
    days = curve.right.astype(float)
    apart = float(np.abs(curve.bounds(days)[0] - (1.0 - their_fit.sf(days))).max())
    draw_s = shortest(lambda: drawn_again(rows, fit, 1, DRAWS), 1)[0] / DRAWS
    afresh_s = shortest(lambda: afresh(rows, REFITS), 1)[0] / REFITS
    name = f"{size} pieces"
    return [
        Measure(f"healing, {name}: both causes", ours_s * 1e3, None, "ms", "lower"),
        Measure(f"healing, {name}: surpyval, one cause", theirs_s * 1e3, None, "ms", "lower"),
        Measure(f"healing, {name}: time against surpyval", ours_s / theirs_s, 2.0, "", "lower"),
        Measure(f"healing, {name}: one cause, largest |dF|", apart, 1e-8, "", "lower"),
        Measure(f"healing, {name}: gap left", fit.gap, 1e-8, "", "lower"),
        Measure(f"healing, {name}: Newton steps", fit.steps, 15, "", "lower"),
        Measure(f"healing, {name}: a draw of cuts against surpyval's fit", draw_s / theirs_s,
                2.0, "", "lower"),
        Measure(f"healing, {name}: {DRAWS} draws of cuts", draw_s * DRAWS, None, "s", "lower"),
        Measure(f"healing, {name}: a draw, times faster than resampling and fitting again",
                afresh_s / draw_s, 10.0, "", "higher"),
    ]  # fmt: skip


def afresh(rows: IntervalRows, draws: int) -> None:
    """The bootstrap as it is usually written: rows of the drawn cuts put together, fitted anew."""
    random = np.random.default_rng(1)
    names, begin = np.unique(rows.cluster, return_index=True)
    ends = np.append(begin[1:], rows.cluster.size)
    for _ in range(draws):
        drawn = random.integers(0, names.size, names.size)
        picked = np.concatenate([np.arange(begin[cut], ends[cut]) for cut in drawn])
        joint(rows.select(picked))


def against_lifelines(rows: IntervalRows) -> list[Measure]:
    """Lifelines reads intervals as closed, so half a day is added to their left ends."""
    one = one_cause(rows)
    upper = np.where(one.cause == Cause.READY, one.right, np.inf)
    ours_s, _ = shortest(lambda: joint(rows), 7)
    theirs_s, theirs = shortest(
        lambda: KaplanMeierFitter().fit_interval_censoring(one.left + 0.5, upper), 1
    )
    fit = joint(one)
    days = fit.ready.right.astype(float)
    # Its two columns differ inside of intervals; at their ends one of them is the curve there.
    alive = np.asarray(theirs.predict(days)).reshape(days.size, -1)
    each = np.abs(fit.ready.bounds(days)[0][:, None] - (1.0 - alive))
    apart = float(each.min(axis=1).max())
    name = f"healing, {rows.pieces} pieces"
    return [
        Measure(f"{name}: times faster than lifelines", theirs_s / ours_s, 100.0, "", "higher"),
        Measure(f"{name}: lifelines, which stops early, largest |dF|", apart, None, "", "lower"),
    ]


def large_farm() -> list[Measure]:
    """A million pieces from raw columns to both bands."""
    rows = farm_rows(LARGE)
    fit_s, fit = shortest(lambda: joint(rows), 3)

    def bands() -> object:
        again = replicates_of(rows, fit)
        return [band_of(fit, cause, again) for cause in (Cause.READY, Cause.LOST)]

    band_s, _ = shortest(bands, 1)
    return [
        Measure(f"healing, {LARGE} pieces: both causes", fit_s, None, "s", "lower"),
        Measure(f"healing, {LARGE} pieces: both bands", band_s, None, "s", "lower"),
        Measure(f"healing, {LARGE} pieces: fit and bands", fit_s + band_s, 3.0, "s", "lower"),
    ]


def joint(rows: IntervalRows) -> Incidence:
    return fit_incidence(
        IntervalRows.of(rows.left, rows.right, rows.cause, rows.cluster, rows.weight)
    )


def one_cause(rows: IntervalRows) -> IntervalRows:
    ready = rows.cause == Cause.READY
    return IntervalRows.of(
        rows.left, np.where(ready, rows.right, rows.left), np.where(ready, Cause.READY, Cause.STILL)
    )


def shortest(work: Callable[[], T], rounds: int) -> tuple[float, T]:
    best = np.inf
    for _ in range(rounds):
        begun = perf_counter()
        result = work()
        best = min(best, perf_counter() - begun)
    return best, result


def in_turn(
    one: Callable[[], T], two: Callable[[], Any], rounds: int
) -> tuple[tuple[float, T], tuple[float, Any]]:
    first, second = np.inf, np.inf
    for _ in range(rounds):
        seconds, a = shortest(one, 1)
        first = min(first, seconds)
        seconds, b = shortest(two, 1)
        second = min(second, seconds)
    return (first, a), (second, b)


if __name__ == "__main__":
    print("\n".join(one.line() for one in measures()))
