"""`python -m tests.faults`: the fault scenarios, as many runs as asked for, on both databases.

--runs N       repetitions; each scenario says how many runs that is for it
--whole        the long form's own numbers instead
--brief        what pytest plays, and as often
--seed S       printed; the same seed plays the same runs
--only 2,3     these scenarios
--database     sqlite, postgresql or both
"""

import argparse
import asyncio
import secrets
import sys

from tests.cluster import NO_BINARIES, Cluster, find_binaries
from tests.faults.scenario import Result, Scenario, play
from tests.faults.scenarios import SCENARIOS
from tests.faults.site import Site, open_site

HEAD = (f"{'no':>2} {'scenario':<38} {'database':<10} {'runs':>5} {'lost':>5} {'doubled':>7} "
        f"{'wrong':>5} {'seconds':>8}  a run is")  # fmt: skip


def main() -> int:
    """Play and print; 1 if anything was lost, doubled or wrong."""
    asked = _arguments()
    print(f"seed {asked.seed}", flush=True)
    binaries = find_binaries() if asked.database != "sqlite" else None
    if binaries is None and asked.database == "postgresql":
        print(NO_BINARIES, file=sys.stderr)
        return 2
    cluster = Cluster(binaries) if binaries else None
    try:
        with open_site(cluster) as site:
            results = asyncio.run(_all(site, asked, _databases(asked.database, cluster)))
    finally:
        if cluster:
            cluster.stop()
    return 0 if all(result.verdict.clean for result in results) else 1


async def _all(site: Site, asked: argparse.Namespace, databases: list[str]) -> list[Result]:
    print(HEAD, flush=True)
    results = []
    for whole in asked.only:
        scenario = whole.in_short() if asked.brief else whole
        for database in databases:
            runs = scenario.whole if asked.whole else scenario.runs(asked.runs)
            runs = scenario.short if asked.brief else runs
            results.append(await play(site, scenario, database, runs, asked.seed))
            print(line(results[-1]), flush=True)
            for sentence in results[-1].verdict.wrong:
                print(f"      {sentence}", flush=True)
    return results


def line(result: Result) -> str:
    """One row of the table, and below it what was measured."""
    one, verdict = result.scenario, result.verdict
    row = (
        f"{one.number:>2} {one.title:<38} {result.database:<10} {result.runs:>5} "
        f"{verdict.lost:>5} {verdict.doubled:>7} {len(verdict.wrong):>5} "
        f"{result.seconds:>8.1f}  {one.unit}"
    )
    facts = [f"      {name}: {value:,.1f} at most" for name, value in verdict.facts.items()]
    return "\n".join([row, *facts])


def _databases(wanted: str, cluster: Cluster | None) -> list[str]:
    if wanted == "both" and cluster is None:
        print(f"{NO_BINARIES}: on SQLite only", flush=True)
    return [name for name in ("sqlite", "postgresql")
            if wanted in (name, "both") and (name == "sqlite" or cluster)]  # fmt: skip


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        prog="python -m tests.faults",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--runs", type=int, default=1)
    parser.add_argument("--whole", action="store_true")
    parser.add_argument("--brief", action="store_true")
    parser.add_argument("--seed", type=int, default=secrets.randbelow(10**6))
    parser.add_argument("--only", type=_only, default=list(SCENARIOS.values()))
    parser.add_argument("--database", choices=["sqlite", "postgresql", "both"], default="both")
    return parser.parse_args()


def _only(text: str) -> list[Scenario]:
    try:
        return [SCENARIOS[int(number)] for number in text.split(",")]
    except (ValueError, KeyError) as error:
        raise argparse.ArgumentTypeError(f"there are {', '.join(map(str, SCENARIOS))}") from error


if __name__ == "__main__":
    sys.exit(main())
