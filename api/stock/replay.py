"""Replay: work the whole stock out from the log alone, and say where the live tables differ."""

from collections import defaultdict
from dataclasses import dataclass, field
from typing import Any

from api.database import Database, Row, Write
from api.stock import cuts, lists
from api.stock.facts import as_glued, fact_rows, numbers_of, words_of
from api.stock.projection import (
    claim_rows,
    decode_state,
    encode,
    fold_rows,
    piece_row,
    save_states,
)
from api.stock.state import PieceState

Table = dict[str, tuple[Any, ...]]


@dataclass
class ReplayReport:
    """Counts, and a line for each row that differed: there must be none."""

    records: int = 0
    pieces: int = 0
    differences: list[str] = field(default_factory=list)


async def replay(db: Database) -> ReplayReport:
    """Rebuild every projection table from the log; report each row that was not already so."""
    async with db.write() as tx:
        log = await tx.rows("SELECT id, kind, subject, piece, at, record FROM log")
        live = await _live(tx)
        report = ReplayReport(records=len(log))
        retracted = lists.taken_back(log)
        await _items(tx, log, retracted, live, report)
        await _cuts(tx, log, retracted, live, report)
        await _pieces(tx, log, live, report, tx.seq)
        return report


async def _live(tx: Write) -> dict[str, Table]:
    columns = {
        "piece": "id, stage, cut, tray, closed_at, state",
        "claim": "id, code, piece, at, record",
        "cut": "id, record, mother, sitting, method, at, retracted, blade, operator, trial",
        "fact": "piece AS id, piece, facts",
        "item": "id, \"list\", fields, retired, tank, COALESCE(codes, '[]') AS codes",
    }
    tables: dict[str, Table] = {}
    for name, wanted in columns.items():
        rows = await tx.rows(f"SELECT {wanted} FROM {name}")
        tables[name] = {row["id"]: tuple(row.values()) for row in rows}
    return tables


def _compare(name: str, live: Table, fresh: Table, report: ReplayReport) -> None:
    for key in sorted(live.keys() | fresh.keys()):
        if key not in fresh:
            report.differences.append(f"{name} {key}: stands in the table, the log knows none")
        elif key not in live:
            report.differences.append(f"{name} {key}: missing from the table")
        elif live[key] != fresh[key]:
            report.differences.append(f"{name} {key}: {live[key]} should be {fresh[key]}")


async def _items(
    tx: Write, log: list[Row], retracted: set[str], live: dict[str, Table], report: ReplayReport
) -> None:
    rows = [row for row in log if lists.is_about_item(row)]
    states = lists.fold_items({row["subject"] for row in rows}, rows, retracted)
    fresh: Table = {key: lists.item_row(state) for key, state in states.items()}
    _compare("item", _booleans(live["item"], 3), fresh, report)
    await tx.rows("DELETE FROM item")
    await tx.many(lists.UPSERT, list(fresh.values()))


async def _cuts(
    tx: Write, log: list[Row], retracted: set[str], live: dict[str, Table], report: ReplayReport
) -> None:
    rows = cuts.cut_rows((row for row in log if row["kind"] == "cut"), retracted)
    _compare("cut", _booleans(live["cut"], 6), {row[0]: row for row in rows}, report)
    await tx.rows("DELETE FROM cut")
    await tx.many(cuts.UPSERT, rows)


async def _pieces(
    tx: Write, log: list[Row], live: dict[str, Table], report: ReplayReport, seq: int
) -> None:
    by_piece: dict[str, list[Row]] = defaultdict(list)
    for row in log:
        if row["piece"] is not None:
            by_piece[row["piece"]].append(row)
    where = (await lists.facility(tx)).zone
    states = fold_rows(by_piece, (r for rows in by_piece.values() for r in rows), where)
    report.pieces = len(states)
    _compare(
        "piece", _as_today(live["piece"]), {k: piece_row(s) for k, s in states.items()}, report
    )
    claims = [row for state in states.values() for row in claim_rows(state)]
    _compare("claim", live["claim"], {row[0]: row for row in claims}, report)
    await _facts(tx, states, live, report)
    known = await tx.rows("SELECT id, stage, reopened FROM piece")
    await tx.rows("DELETE FROM claim")
    await tx.rows_in("DELETE FROM piece WHERE id IN (?)", live["piece"].keys() - states.keys())
    await save_states(tx, states, {row["id"]: row for row in known}, seq)


async def _facts(
    tx: Write, states: dict[str, PieceState], live: dict[str, Table], report: ReplayReport
) -> None:
    """A word that no row has a number for yet stands in no live row: its rows differ."""
    glued = await as_glued(tx, states)
    words = words_of(states, glued)
    numbers = dict.fromkeys(words, 0) | await numbers_of(tx, words)
    fresh: Table = {row[0]: (row[0], *row) for row in fact_rows(states, glued, numbers)}
    _compare("fact", live["fact"], fresh, report)
    await tx.rows("DELETE FROM fact")


def _as_today(table: Table) -> Table:
    """States as written today: a field that came later is no difference."""
    return {key: (*row[:-1], encode(decode_state(row[-1])).decode()) for key, row in table.items()}


def _booleans(table: Table, column: int) -> Table:
    """SQLite gives booleans back as 0 and 1."""
    return {
        key: (*row[:column], bool(row[column]), *row[column + 1 :]) for key, row in table.items()
    }
