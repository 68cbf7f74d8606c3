"""How often ordinary units are called out, and how often a bad one is: many simulated farms.

    python -m tests.healing.warn.false_alarms --runs 100

Units differ by a logit-normal share lost and a log-normal speed, which is neither the beta nor the
gamma distribution of the rules. Their ages run from 10 to 100 days.
"""

from __future__ import annotations

import argparse
from dataclasses import replace
from itertools import product

import numpy as np
from scipy.stats import false_discovery_control

from api.healing.rows import BoolArray, IntervalRows
from api.healing.warn.expected import expected_losses
from api.healing.warn.funnel import Standing, funnel
from api.healing.warn.sequential import Alarm, alarms
from tests.reference.simulated import Farm, rows_of

LOSS = {"few": -2.6, "usual": -1.3, "many": -0.6}
BAD = 6.0
"""A bad unit's odds of loss, as a multiple of the farm's."""
FALSE_SHARE = 0.10
WIDTHS = (6, 7, 7, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9)
HEAD = (
    "units", "losses", "spread", "look 2.5", "act 0.1", "listed", "a farm", "ever<5", "ever<1",
    "bad:fun.", "bad:list", "bad:seq.", "day",
)  # fmt: skip


def farm_of(units: int, losses: str, spread: float) -> Farm:
    return Farm(units, 8, loss=LOSS[losses], loss_spread=spread, watched=(10, 100))


def standing(rows: IntervalRows) -> list[Standing]:
    found = expected_losses(rows)
    return funnel(found.lost, found.pieces, found.expected)


def listed(stood: list[Standing]) -> BoolArray:
    """Beyond the limit of 'act', or beyond that of 'look' and on the list of Benjamini & Hochberg:
    the rule that was tried and dropped (`funnel`)."""
    level = np.array([one.level for one in stood])
    found = false_discovery_control([one.mid_p for one in stood]) <= FALSE_SHARE
    return np.asarray((level == "act") | ((level == "look") & found), np.bool_)


def with_a_bad_one(farm: Farm, random: np.random.Generator) -> IntervalRows:
    """The last unit, watched for 60 days, loses at BAD times the farm's odds."""
    rest = rows_of(replace(farm, cuts=farm.cuts - 1), random)
    worse = replace(farm, cuts=1, loss=farm.loss + np.log(BAD), loss_spread=0.01, watched=(60, 61))
    bad = rows_of(worse, random)
    pairs = [
        np.concatenate(each)
        for each in ((rest.left, bad.left), (rest.right, bad.right), (rest.cause, bad.cause),
                     (rest.cluster, bad.cluster + farm.cuts - 1))
    ]  # fmt: skip
    return IntervalRows.of(*pairs)


def rates(farm: Farm, runs: int) -> dict[str, float]:
    """In per cent of units: beyond each limit, and beyond one and on the list as well; of farms:
    any beyond a limit; of bad units: found, and found were the list asked too."""
    stood: list[list[Standing]] = []
    called: list[Alarm] = []
    found: list[tuple[Standing, Alarm]] = []
    asked: list[bool] = []
    for run in range(runs):
        rows = rows_of(farm, np.random.default_rng((farm.cuts, run)))
        stood.append(standing(rows))
        called += alarms(rows)
        worse = with_a_bad_one(farm, np.random.default_rng((farm.cuts, run, 1)))
        beside = standing(worse)
        found.append((beside[-1], alarms(worse)[-1]))
        asked.append(bool(listed(beside)[-1]))
    each = [one for farm_now in stood for one in farm_now]
    days = [alarm.since for _, alarm in found if alarm.since is not None]
    return {
        "look": 100 * float(np.mean([one.level != "usual" for one in each])),
        "act": 100 * float(np.mean([one.level == "act" for one in each])),
        "listed": 100 * float(np.mean(np.concatenate([listed(now) for now in stood]))),
        "a farm": 100 * float(np.mean([any(one.level != "usual" for one in f) for f in stood])),
        "ever look": 100 * float(np.mean([one.level != "usual" for one in called])),
        "ever act": 100 * float(np.mean([one.level == "act" for one in called])),
        "bad by funnel": 100 * float(np.mean([one.level != "usual" for one, _ in found])),
        "bad by list": 100 * float(np.mean(asked)),
        "bad in sequence": 100 * float(np.mean([one.level != "usual" for _, one in found])),
        "day": float(np.median(days)) if days else float("nan"),
    }


def main() -> None:
    parser = argparse.ArgumentParser(description="False alarms, and bad units found, per cent.")
    parser.add_argument("--runs", type=int, default=100)
    runs = parser.parse_args().runs
    print("".join(f"{word:>{width}}" for word, width in zip(HEAD, WIDTHS, strict=True)))
    for units, losses, spread in product((4, 8, 20, 50), LOSS, (0.01, 0.8, 1.5)):
        found = rates(farm_of(units, losses, spread), max(runs * 8 // units, 4))
        cells = [units, losses, spread, *(f"{rate:.2f}" for rate in found.values())]
        print("".join(f"{c:>{w}}" for c, w in zip(cells, WIDTHS, strict=True)), flush=True)


if __name__ == "__main__":
    main()
