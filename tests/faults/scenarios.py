"""All scenarios by number."""

from itertools import chain

from tests.faults import (
    answers,
    browser_disk,
    browser_emptied,
    browser_kills,
    browser_queue,
    browser_update,
    clocks,
    kills,
    model,
    order,
    people,
    photos,
    restored,
    snapshot,
    versions,
)
from tests.faults.scenario import Scenario

IN_NODE = (model, answers, kills, order, people, clocks, versions, photos, restored, snapshot)
IN_CHROMIUM = (browser_disk, browser_emptied, browser_kills, browser_queue, browser_update)
_all = chain.from_iterable(family.SCENARIOS for family in (*IN_NODE, *IN_CHROMIUM))
SCENARIOS: dict[int, Scenario] = {one.number: one for one in sorted(_all, key=lambda s: s.number)}
