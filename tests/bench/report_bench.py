"""The whole healing report on a farm of a million glued pieces, from the database to the answer.

The tables are filled as the projection fills them (the same functions make the rows), but without
the log beneath: twenty million records would be pushed for an hour. Four methods, three bases, two
species, 2,000 mothers, twenty pieces a cut, looked at weekly; the cuts of five years.
"""

import asyncio
import sqlite3
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter
from typing import Any

import msgspec
import numpy as np

from api.database import Database, open_database
from api.healing.asked import Asked
from api.healing.report import report
from api.healing.rows import Cause, IntervalRows
from api.healing.stock import read_stock
from api.stock.facts import FIELDS, Kind, kind_text
from api.stock.projection import encode
from api.stock.state import Begun, PieceState
from tests.bench.measure import Measure
from tests.reference.simulated import Farm, rows_of

PIECES, CUT, MOTHERS = 1_000_000, 20, 2_000
METHODS = ("method.band", "method.tile", "method.wire", "method.rotary")
BASES = ("base.hex", "base.plug", "base.block")
FIRST, YEARS = date(2021, 11, 29), 5
NOW = 1_795_910_400_000  # 2026-11-29
HOUR = 3_600_000


def measures() -> list[Measure]:
    with TemporaryDirectory() as folder:
        return asyncio.run(_measures(Path(folder)))


async def _measures(folder: Path) -> list[Measure]:
    db = await open_database(folder / "farm.sqlite")
    try:
        fill(folder / "farm.sqlite", PIECES)
        read_s = await shortest(db, reading, Asked())
        whole_s = await shortest(db, answering, Asked())
        by_s = await shortest(db, answering, Asked("base", "cut"))
    finally:
        await db.close()
    name = f"healing, report on {PIECES} pieces"
    return [
        Measure(f"{name}: reading", read_s, None, "s", "lower"),
        Measure(f"{name}: whole, by method", whole_s, 3.0, "s", "lower"),
        Measure(f"{name}: whole, by base, to be cut again", by_s, 3.0, "s", "lower"),
    ]


async def reading(db: Database, asked: Asked) -> object:
    return await read_stock(db, NOW, tanks=asked.needs_tanks)


async def answering(db: Database, asked: Asked) -> object:
    found = await report(db, asked, NOW)
    assert sum(group.pieces for group in found.groups) == PIECES
    assert all(group.median is not None for group in found.groups)
    return found


async def shortest(db: Database, work: Any, asked: Asked) -> float:
    best = np.inf
    for _ in range(3):
        begun = perf_counter()
        await work(db, asked)
        best = min(best, perf_counter() - begun)
    return best


def fill(path: Path, pieces: int) -> None:
    """The projection's tables of a farm of so many pieces."""
    cuts = pieces // CUT
    rows = rows_of(Farm(cuts, CUT, speed_spread=0.25), np.random.default_rng(pieces))
    kinds = [
        kind_text(Kind(base, "sale" if size % 3 else "hold", "none", size, start, None))
        for base in BASES for size in range(20, 50) for start in (0, 1, 2)
    ]  # fmt: skip
    words = [cut_id(cut) for cut in range(cuts)] + kinds + [f"tray.{at}" for at in range(200)]
    with sqlite3.connect(path) as connection:
        many = connection.executemany
        many("INSERT INTO word (id, text) VALUES (?, ?)", enumerate(words, 1))
        many("INSERT INTO cut (id, record, mother, sitting, method, at, retracted) "
             "VALUES (?, ?, ?, ?, ?, ?, ?)", cut_rows(cuts))  # fmt: skip
        many("INSERT INTO piece (id, seq, stage, state, reopened) VALUES (?, ?, ?, ?, 0)",
             mother_rows())  # fmt: skip
        many('INSERT INTO item (id, "list", fields, retired) VALUES (?, ?, ?, 0)', items())
        many("INSERT INTO fact (piece, facts) VALUES (?, ?)", fact_rows(rows, cuts, len(kinds)))
    connection.close()


def cut_id(number: int) -> str:
    return f"019a0000-0000-7000-8000-{number:012x}"


def mother_id(number: int) -> str:
    return f"019a0000-0000-7000-9000-{number:012x}"


def cut_day(number: int, cuts: int) -> date:
    return FIRST + timedelta(days=number * YEARS * 365 // cuts)


def cut_rows(cuts: int) -> Iterator[tuple[Any, ...]]:
    for cut in range(cuts):
        days = (cut_day(cut, cuts) - date(1970, 1, 1)).days
        yield (cut_id(cut), cut_id(cut), mother_id(cut % MOTHERS), cut_id(cut),
               METHODS[cut % len(METHODS)], days * 24 * HOUR + 10 * HOUR, 0)  # fmt: skip


def mother_rows() -> Iterator[tuple[Any, ...]]:
    for mother in range(MOTHERS):
        state = PieceState(
            id=mother_id(mother), begun=Begun("arrival", "r", 0, "2021-01-01"), origin="wild",
            species=f"species.{mother % 2}", line=f"Line {mother}",
        )  # fmt: skip
        yield state.id, mother, "colony", encode(state).decode()


def items() -> Iterator[tuple[str, str, str]]:
    def item(key: str, list_: str, **fields: Any) -> tuple[str, str, str]:
        return key, list_, msgspec.json.encode(fields).decode()

    yield item("settings", "settings", name="Farm", zone="Indian/Maldives")
    for key in METHODS:
        yield item(key, "method", name=key)
    for key in BASES:
        yield item(key, "base", name=key)
    for at in range(2):
        yield item(f"species.{at}", "species", name=f"Species {at}", form="massive")


def fact_rows(rows: IntervalRows, cuts: int, kinds: int) -> Iterator[tuple[str, str]]:
    days = [cut_day(cut, cuts).toordinal() for cut in range(cuts)]
    seen = zip(rows.left.tolist(), rows.right.tolist(), rows.cause.tolist(), strict=True)
    for piece, (left, right, cause) in enumerate(seen):
        cut = piece // CUT
        day = days[cut]
        facts = dict.fromkeys(FIELDS, 0) | {
            "cut": cut + 1, "kind": cuts + 1 + (piece * 7) % kinds,
            "tray": cuts + kinds + 1 + cut % 200, "begun_at": day * 24 * HOUR, "begun_on": day,
            "looked": day + (left if cause == Cause.STILL else right),
            "looked_before": day + left - 7, "alive": day + right,
        }  # fmt: skip
        if cause == Cause.READY:
            for goal in ("sale", "again"):
                facts |= {f"{goal}_after": day + left, f"{goal}_by": day + right}
        elif cause == Cause.LOST:
            facts |= {"loss_after": day + left, "loss_by": day + right, "alive": day + left}
        yield f"019b0000-0000-7000-8000-{piece:012x}", ",".join(map(str, facts.values()))


if __name__ == "__main__":
    print("\n".join(one.line() for one in measures()))
