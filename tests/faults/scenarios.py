"""All scenarios by number."""

from itertools import chain

from tests.faults import (
    answers,
    browser_kills,
    browser_queue,
    browser_storage,
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

FAMILIES = (model, answers, kills, order, people, clocks, versions, photos, restored, snapshot,
            browser_kills, browser_queue, browser_storage, browser_update)  # fmt: skip
SCENARIOS: dict[int, Scenario] = {
    one.number: one
    for one in sorted(chain.from_iterable(f.SCENARIOS for f in FAMILIES), key=lambda s: s.number)
}
