"""The fault scenarios in short, on both databases: nothing lost, nothing doubled, all agree.

`python -m tests.faults` plays the same scenarios at length. Here each is played a few times only,
five of them smaller, and those of a browser on SQLite only, since what they break lies in the
browser; at length each is played on both. The counts are printed with the results (`pytest -rP`).
The seed is the same each time, so that a failure can be had again.
"""

from collections.abc import Iterator

import pytest

from tests.faults.__main__ import HEAD, line
from tests.faults.scenario import play
from tests.faults.scenarios import SCENARIOS
from tests.faults.site import Site, open_site

pytestmark = pytest.mark.anyio
SEED = 20
IN_A_BROWSER = {5, 10, 13, 14, 16, 19}
PLAYED = [(number, "sqlite") for number in SCENARIOS] + [
    (number, "postgresql") for number in SCENARIOS if number not in IN_A_BROWSER
]


@pytest.fixture(scope="module")
def site() -> Iterator[Site]:
    with open_site(None) as opened:
        yield opened


@pytest.mark.parametrize(("number", "database"), PLAYED)
async def test_scenario(
    number: int, database: str, site: Site, request: pytest.FixtureRequest
) -> None:
    if database == "postgresql":
        site.cluster = request.getfixturevalue("cluster")
    scenario = SCENARIOS[number].in_short()
    result = await play(site, scenario, database, scenario.short, SEED)
    print(HEAD, line(result), sep="\n")
    verdict = result.verdict
    assert (verdict.lost, verdict.doubled, verdict.wrong) == (0, 0, [])
