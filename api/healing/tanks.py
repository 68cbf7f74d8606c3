"""Where trays stood and what their tanks were given: the groups that act on whole tanks.

A piece's tank is the one its tray stood in when it was glued; where it went later was decided
later. A tank's regime is what it was given regularly: the kinds of feed, supplement and dose on
REGULAR days or more (common practice, no source: what was tried once or twice is no regime).
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from api.database import Database, Row
from api.healing.rows import IntArray
from api.records import kinds as k
from api.stock.fold import local_day

REGULAR = 4
"""Days on which a kind must have been given."""
REGIME = frozenset({"feed", "supplement", "dose"})


@dataclass(frozen=True)
class Tanks:
    """stays    of each tray its moves, (corrected time, tank), in order of time
    regimes  of each tank what it is given regularly, in words; '' where that is nothing"""

    stays: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    regimes: dict[str, str] = field(default_factory=dict)

    def when(
        self, trays: Sequence[str | None], which: IntArray, at: IntArray
    ) -> tuple[list[str | None], IntArray]:
        """The tanks in which trays stood at given times; before a tray's first move, the first it
        is known in. `which`, (pieces,), are places in `trays`, `at` UTC milliseconds.

        Returns tanks, None among them, and the place in these of each piece, (pieces,).
        """
        tanks: list[str | None] = [None]
        found = np.zeros(which.size, np.int64)
        for number, tray in enumerate(trays):
            stays = self.stays.get(tray or "")
            if stays:
                here = np.flatnonzero(which == number)
                since = np.array([moved for moved, _ in stays])
                stay = np.maximum(0, np.searchsorted(since, at[here], "right") - 1)
                found[here] = len(tanks) + stay
                tanks += [tank for _, tank in stays]
        return tanks, found


NO_TANKS = Tanks()


async def read_tanks(db: Database, zone: str) -> Tanks:
    """What the log says of trays and tanks, without records that were taken back."""
    rows = await db.rows("SELECT id, \"list\" FROM item WHERE \"list\" IN ('tray', 'tank')")
    about = {row["id"]: row["list"] for row in rows}
    found = await db.rows_in(
        "SELECT subject, at, id, record FROM log WHERE subject IN (?) AND kind IN ('move', 'care') "
        "AND NOT EXISTS (SELECT 1 FROM log t WHERE t.kind = 'retract' AND t.subject = log.id)",
        about,
    )
    return tanks_of(found, zone)


def tanks_of(rows: list[Row], zone: str) -> Tanks:
    """Stays and regimes from rows of the log (subject, at, id, record). Pure."""
    stays: dict[str, list[tuple[int, str]]] = defaultdict(list)
    given: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for row in sorted(rows, key=lambda row: (row["at"], row["id"])):
        record = k.read_stored(row["record"])
        if isinstance(record, k.Move) and record.body.tank is not None:
            stays[row["subject"]].append((row["at"], record.body.tank))
        elif isinstance(record, k.Care) and record.body.what in REGIME:
            what = " ".join(filter(None, (record.body.what, record.body.name)))
            given[row["subject"]][what].add(local_day(row["at"], zone))
    return Tanks(stays, {tank: _regime(kinds) for tank, kinds in given.items()})


def _regime(kinds: dict[str, set[str]]) -> str:
    return "; ".join(sorted(what for what, days in kinds.items() if len(days) >= REGULAR))
