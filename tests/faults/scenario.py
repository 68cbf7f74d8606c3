"""What a scenario is, and playing it a number of times."""

import asyncio
import random
import time
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field, replace

from playwright.async_api import Error

from tests.faults.killing import Sabotage
from tests.faults.site import Broken, Site
from tests.faults.verdict import Verdict
from tests.faults.world import World, open_world

NONE = Sabotage()
PATIENCE_S = 1200
"""Only so that a run that hangs is told of: the longest takes a quarter of that."""
Run = Callable[[World, random.Random], Awaitable[Verdict]]


@dataclass(frozen=True)
class Scenario:
    """One way in which things go wrong.

    unit    what one run is
    run     plays one run in a world that is new, with chances of its own
    short   runs in pytest;  whole: runs of the long form;  each: runs for each of `--runs`
    brief   what pytest plays instead where a whole run would take too long: unit and run
    """

    number: int
    title: str
    unit: str
    run: Run
    short: int
    whole: int
    each: float = 1.0
    brief: tuple[str, Run] | None = None

    def runs(self, asked: int) -> int:
        """How often `--runs` lets it play."""
        return max(1, round(asked * self.each))

    def in_short(self) -> "Scenario":
        """As pytest plays it."""
        unit, run = self.brief or (self.unit, self.run)
        return replace(self, unit=unit, run=run)


@dataclass
class Result:
    """What came of playing a scenario on one kind of database."""

    scenario: Scenario
    database: str
    runs: int
    verdict: Verdict = field(default_factory=Verdict)
    seconds: float = 0.0


async def play(
    site: Site,
    scenario: Scenario,
    database: str,
    runs: int,
    seed: int,
    sabotage: Sabotage = NONE,
) -> Result:
    """Play so many runs, each in a new world and with chances of its own.

    A run that cannot be played to its end has failed too, and is the last.
    """
    result, start = Result(scenario, database, runs), time.perf_counter()
    async with open_world(site, database) as world:
        world.sabotage = sabotage
        for turn in range(runs):
            world.turn = turn
            await world.renew()
            result.runs = turn + 1
            verdict, ended = await _run(scenario, world, chances(seed, scenario, database, turn))
            verdict.wrong = [f"run {turn}: {sentence}" for sentence in verdict.wrong]
            result.verdict.add(verdict)
            if not ended:
                break
    result.seconds = time.perf_counter() - start
    return result


async def _run(scenario: Scenario, world: World, chance: random.Random) -> tuple[Verdict, bool]:
    try:
        async with asyncio.timeout(PATIENCE_S):
            return await scenario.run(world, chance), True
    except TimeoutError:
        return Verdict(wrong=[f"it did not end within {PATIENCE_S} seconds"]), False
    except (Broken, Error, AssertionError) as error:
        return Verdict(wrong=[str(error)]), False


def chances(seed: int, scenario: Scenario, database: str, turn: int) -> random.Random:
    """The chances of one run: they follow from these four alone."""
    return random.Random(f"{seed} {scenario.number} {database} {turn}")
