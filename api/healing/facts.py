"""What was recorded of glued pieces, in columns, as `api/stock/facts.py` keeps it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from api.database import Rows, Snapshot
from api.healing.rows import BoolArray, IntArray
from api.stock.facts import FIELDS


class Facts(NamedTuple):
    """Columns (pieces,) in the order and with the meanings of FIELDS: days are counted from the
    year 1, 0 stands for none; cut, kind and tray are numbers of words."""

    cut: IntArray
    kind: IntArray
    tray: IntArray
    begun_at: IntArray
    begun_on: IntArray
    sale_after: IntArray
    sale_by: IntArray
    again_after: IntArray
    again_by: IntArray
    loss_after: IntArray
    loss_by: IntArray
    missing: IntArray
    looked: IntArray
    looked_before: IntArray
    alive: IntArray
    gone_on: IntArray
    gone_looked: IntArray
    gone_alive: IntArray
    left: IntArray

    @classmethod
    def read(cls, text: str) -> Facts:
        """Columns from rows of numbers, everything with commas between; '' is no piece."""
        numbers = np.fromstring(text, np.int64, sep=",") if text else np.zeros(0, np.int64)
        return cls(*np.ascontiguousarray(numbers.reshape(-1, len(FIELDS)).T))

    def select(self, keep: BoolArray | IntArray) -> Facts:
        """The pieces where `keep` is true, or in the places `keep`."""
        return Facts(*(column[keep] for column in self))


async def read_facts(db: Snapshot, *, ids: bool) -> tuple[str, str]:
    """Every glued piece's row in order of the pieces' ids, as `Facts.read` takes them; with `ids`
    those too, with commas between.

    The database puts the rows together: a million objects of Python's would take longer than all
    of the arithmetic. SQLite's texts end at a thousand million letters, some ten million pieces.
    """
    join = "group_concat({0})" if db.sqlite else "string_agg({0}, ',' ORDER BY piece)"
    wanted = [join.format("facts")] + [join.format("piece")] * ids
    [row] = await db.rows(
        f"SELECT {', '.join(f'{one} AS c{at}' for at, one in enumerate(wanted))} "
        "FROM (SELECT piece, facts FROM fact ORDER BY piece) AS ordered"
    )
    return row["c0"] or "", (row["c1"] or "") if ids else ""


async def read_words(db: Rows) -> dict[int, str]:
    """The text of each number."""
    return {row["id"]: row["text"] for row in await db.rows("SELECT id, text FROM word")}
