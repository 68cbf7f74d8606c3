"""Where trays stood and what their tanks were given: the groups that act on whole tanks.

A piece's tank is the one its tray stood in when it was glued; where it went later was decided
later, and so was what that tank is given from then on. A piece's regime is what its tank was given
regularly before: the kinds of feed, supplement and dose on REGULAR days or more of the REGIME_DAYS
that end with the day of gluing (common practice, no source: what was tried once or twice is no
regime).
"""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import msgspec
import numpy as np

from api.database import Row, Rows
from api.healing.rows import IntArray
from api.records import kinds as k
from api.records.lift import version_of
from api.stock.facts import ordinal
from api.stock.fold import local_day

REGULAR = 4
"""Days on which a kind must have been given."""
REGIME_DAYS = 60
"""How far back it is looked, the day of gluing being the last (common practice, no source)."""
REGIME = frozenset({"feed", "supplement", "dose"})


@dataclass(frozen=True)
class Tanks:
    """stays  of each tray its moves, (corrected time, tank), in order of time
    given  of each tank and kind, in words, the days on which it was given, each once, in order;
           counted from the year 1 as `Facts.begun_on` is
    """

    stays: dict[str, list[tuple[int, str]]] = field(default_factory=dict)
    given: dict[str, dict[str, list[int]]] = field(default_factory=dict)

    def when(
        self, trays: Sequence[str | None], which: IntArray, at: IntArray
    ) -> tuple[list[str | None], IntArray]:
        """The tanks in which trays stood at given times; before a tray's first move, the first it
        is known in. `which`, (pieces,), are places in `trays`, `at` UTC milliseconds.

        Returns tanks, None among them, and the place in these of each piece, (pieces,).
        """
        tanks: list[str | None] = [None]
        found = np.zeros(which.size, np.int64)
        # Of few values few bits: those are sorted by radix, in a tenth of the time.
        order = np.argsort(which.astype(np.min_scalar_type(len(trays))), kind="stable")
        ends = np.cumsum(np.bincount(which, minlength=len(trays)))
        for tray, begin, end in zip(trays, [0, *ends], ends, strict=False):
            stays = self.stays.get(tray or "")
            if stays:
                here = order[begin:end]
                since = np.array([moved for moved, _ in stays])
                stay = np.maximum(0, np.searchsorted(since, at[here], "right") - 1)
                found[here] = len(tanks) + stay
                tanks += [tank for _, tank in stays]
        return tanks, found

    def regimes(self, tank: str | None, days: IntArray) -> list[str]:
        """What a tank was given regularly up to each of these days, in words; '' is nothing."""
        kinds = sorted(self.given.get(tank or "", {}).items())
        regular = np.zeros((len(kinds), days.size), bool)
        for row, (_, given) in enumerate(kinds):
            until = np.searchsorted(given, days, "right")
            regular[row] = until - np.searchsorted(given, days - REGIME_DAYS, "right") >= REGULAR
        return [
            "; ".join(what for (what, _), is_given in zip(kinds, day, strict=True) if is_given)
            for day in regular.T.tolist()
        ]


NO_TANKS = Tanks()


class _Body(msgspec.Struct):
    what: str | None = None
    name: str | None = None
    tank: str | None = None


class _Slip(msgspec.Struct):
    """What is wanted of a care or move record: reading all of one takes five times as long."""

    kind: str
    v: int
    body: _Body


_slip = msgspec.json.Decoder(_Slip).decode


async def read_tanks(db: Rows, zone: str) -> Tanks:
    """What the log says of trays and tanks, without records that were taken back."""
    rows = await db.rows("SELECT id, \"list\" FROM item WHERE \"list\" IN ('tray', 'tank')")
    about = {row["id"]: row["list"] for row in rows}
    found = await db.rows_in(
        "SELECT subject, at, id, record FROM log WHERE subject IN (?) AND kind IN ('move', 'care') "
        "AND NOT EXISTS (SELECT 1 FROM log t WHERE t.kind = 'retract' AND t.subject = log.id)",
        about,
    )
    return tanks_of(found, zone)


def tanks_of(rows: Sequence[Row], zone: str) -> Tanks:
    """Stays and givings from rows of the log (subject, at, id, record); what is not understood, or
    is not of today's version and cannot be brought to it, says nothing. Pure."""
    stays: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
    given: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row in rows:
        kind, body = _read(row["record"])
        if kind == "move" and body.tank is not None:
            stays[row["subject"]].append((row["at"], row["id"], body.tank))
        elif kind == "care" and body.what in REGIME:
            what = " ".join(filter(None, (body.what, body.name)))
            given[row["subject"], what].add(local_day(row["at"], zone))
    return Tanks(
        {tray: [(at, tank) for at, _, tank in sorted(found)] for tray, found in stays.items()},
        _by_tank(given),
    )


def _read(text: str) -> tuple[str, _Body]:
    """A record's kind and body; ('', nothing) where it is not understood."""
    try:
        slip = _slip(text)
        if slip.v == version_of(slip.kind):
            return slip.kind, slip.body
    except msgspec.ValidationError:
        return "", _Body()
    record = k.read_stored(text)
    if isinstance(record, k.Care):
        return "care", _Body(record.body.what, record.body.name)
    if isinstance(record, k.Move):
        return "move", _Body(tank=record.body.tank)
    return "", _Body()


def _by_tank(given: Mapping[tuple[str, str], set[str]]) -> dict[str, dict[str, list[int]]]:
    found: dict[str, dict[str, list[int]]] = defaultdict(dict)
    for (tank, what), days in given.items():
        found[tank][what] = sorted(map(ordinal, days))
    return dict(found)
