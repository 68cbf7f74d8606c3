"""How often intervals that say 95 % hold a truth that is known, over many designs of a farm.

    python -m tests.reference.coverage --runs 500 --out fixtures/healing/coverage.txt

A short form of it is `test_coverage.py`. Each run is one farm with cuts that differ
(`simulated.py`), seeded by the design and the run. The file is written anew after each design.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from itertools import product
from pathlib import Path

from tests.reference.coverage_runs import Held, Pairing, curves_hold, differences_hold
from tests.reference.simulated import Farm

CUTS, PIECES, GAPS = (3, 6, 12, 40), (8, 20), (7, 14)
LOSS = {"few": -2.6, "many": -0.6}
SIZES = ((8, "few"), (20, "many"))
GOAL = (0.93, 0.97)
WIDTH = 13
HEAD = """\
How often 95 % intervals hold the truth, in per cent of {runs} simulated farms a line.
Made by: python -m tests.reference.coverage --runs {runs} --out fixtures/healing/coverage.txt
Goal 93-97. '-' falls short of it, '+' exceeds it; chance alone moves an entry by +-{error:.1f}
(one standard error). Cuts differ: times by a log-normal factor (0.35), log odds of loss by 0.8.
losses: few about 9 in a hundred, many about 37. gap: days between looks, give or take 2.
"""
CURVES = """
One group. half ready: the range of days by which half are ready. ready by, lost by: the band.
share lost: Wilson on n / deff by day 30, as the report counts it; (deff 1): as if pieces of a cut
were not alike, shown as the control. Below four cuts the report gives none of these.
"""
DIFFERENCES = """
Two groups. own: each of its own cuts, the second a fifth slower and with more lost; shared: both
out of every cut, without a difference. half ready: the difference in days. In brackets: in how many
runs there was an interval, where that is not all; the others said nothing.
"""

Run = Callable[[tuple[int, ...]], Held]

REASONS = """
Why entries are outside the goal, as far as runs of their own have shown (designs of 20 pieces):
share lost -   It counts losses up to the first look on or after day 30, so more than by day 30:
               with 14 days between looks and many losses 33 in a hundred, where 30 are true (with
               7, 31). Of what it counts it held 94-97 % from 12 cuts on; with 3 and 6 cuts 86-92 %,
               as deff is learnt from few cuts and the normal quantile allows nothing for that (with
               t's in its place 97-100 %). 'lost by 30', from the curve, has neither fault.
half ready -   Looks 14 days apart: the estimate of F runs ahead (12 cuts, few losses, day 30: .455
               on average, .432 true) and its standard error is a twelfth too small. With 7 days
               between looks neither is seen.
Not looked into, probably:
+              With 3 cuts, and of rare losses, limits are wide: t with 2 degrees of freedom, a
               floor at the binomial error, exact limits where none was lost. A range of whole days
               cannot hold less than a day.
shared, +      The floor is the binomial error of both groups, but what pieces of one cut have in
               common drops out of the difference, so that less would do.
"""


def curve_designs() -> Iterator[tuple[str, Run]]:
    for cuts, pieces, losses, gap in product(CUTS, PIECES, LOSS, GAPS):
        farm = Farm(cuts, pieces, gap, loss=LOSS[losses])
        yield f"{cuts:4} {pieces:6} {losses:>6} {gap:3}", partial(curves_hold, farm)


def difference_designs() -> Iterator[tuple[str, Run]]:
    for cuts, (pieces, losses), shared in product(CUTS[:3], SIZES, (False, True)):
        pairing = Pairing(Farm(cuts, pieces, loss=LOSS[losses]), shared)
        name = f"{cuts:4} {pieces:6} {losses:>6} {'shared' if shared else 'own':>6}"
        yield name, partial(differences_hold, pairing)


def entry(found: Sequence[bool | None]) -> str:
    """'94.6 ', with '-' or '+' outside the goal; None are runs without an interval."""
    said = [one for one in found if one is not None]
    if not said:
        return "none"
    share = sum(said) / len(said)
    mark = "-" if share < GOAL[0] else "+" if share > GOAL[1] else " "
    return f"{100 * share:.1f}{mark}" + (f"({len(said)})" * (len(said) < len(found)))


def table(
    head: str, designs: Iterator[tuple[str, Run]], number: int, runs: int, pool: ProcessPoolExecutor
) -> Iterator[str]:
    """The lines of one table, as they are known. Each design of a table has seeds of its own."""
    for place, (name, run) in enumerate(designs):
        seeds = [(number, place, i) for i in range(runs)]
        held = list(pool.map(run, seeds, chunksize=10))
        if place == 0:
            yield head + "".join(f"{quantity:>{WIDTH}}" for quantity in held[0])
        yield name + "".join(f"{entry([h[q] for h in held]):>{WIDTH}}" for q in held[0])


def main() -> None:
    parser = argparse.ArgumentParser(description="How often nominal 95 % holds.")
    parser.add_argument("--runs", type=int, default=500)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--jobs", type=int, default=1, help="processes side by side")
    args = parser.parse_args()
    text = HEAD.format(runs=args.runs, error=100 * (0.95 * 0.05 / args.runs) ** 0.5)
    tables = [
        (CURVES, "cuts pieces losses gap", curve_designs()),
        (DIFFERENCES, "cuts pieces losses   cuts", difference_designs()),
    ]
    with ProcessPoolExecutor(args.jobs) as pool:
        for number, (words, head, designs) in enumerate(tables):
            text += words
            for line in table(head, designs, number, args.runs, pool):
                print(line, flush=True)
                text += line.rstrip() + "\n"
                args.out.write_text(text)
    args.out.write_text(text + REASONS)


if __name__ == "__main__":
    main()
