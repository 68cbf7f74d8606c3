"""All scenarios by number."""

from itertools import chain

from tests.faults import answers, kills, order
from tests.faults.scenario import Scenario

FAMILIES = (answers, kills, order)
SCENARIOS: dict[int, Scenario] = {
    one.number: one
    for one in sorted(chain.from_iterable(f.SCENARIOS for f in FAMILIES), key=lambda s: s.number)
}
