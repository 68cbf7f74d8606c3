"""Keeping the projection tables in step with the log, inside the transaction that appends.

A record that sorts after all that its piece has seen is one `step` on the stored state; anything
else (a late arrival, a retraction) folds the piece again from its records. Both give the same.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable

import msgspec

from api.database import Row, Write
from api.records import kinds as k
from api.records.batch import Stored
from api.stock.cuts import project_cuts
from api.stock.facts import save_facts
from api.stock.fold import Entry, fold, follows, in_order, step
from api.stock.lists import facility, project_items
from api.stock.state import CLOSED, PieceState

decode_state = msgspec.json.Decoder(PieceState).decode
encode = msgspec.json.Encoder().encode


async def project(tx: Write, stored: list[Stored], seq: int) -> dict[str, PieceState]:
    """Bring pieces, cuts, claims and items up to date; returns the states that changed."""
    before = where = (await facility(tx)).zone
    if await project_items(tx, stored):
        where = (await facility(tx)).zone
    await project_cuts(tx, stored)
    touched: dict[str, list[Entry]] = {}
    moved = where != before
    if moved:
        touched = {row["id"]: [] for row in await tx.rows("SELECT id FROM piece")}
    for item in stored:
        if item.piece is not None and item.parsed.record is not None:
            touched.setdefault(item.piece, []).append(Entry(item.at, item.parsed.record))
    if moved:
        # Days that stand in the states are those of the zone before: none may be stepped on.
        touched = {piece: [] for piece in touched}
    return await _pieces(tx, touched, where, seq)


async def _pieces(
    tx: Write, touched: dict[str, list[Entry]], where: str, seq: int
) -> dict[str, PieceState]:
    """Step or fold again; a piece without entries is folded again."""
    rows = await tx.rows_in("SELECT id, stage, state, reopened FROM piece WHERE id IN (?)", touched)
    known = {row["id"]: row for row in rows}
    states: dict[str, PieceState] = {}
    again: list[str] = []
    for piece, entries in touched.items():
        state = _stepped(piece, known.get(piece), entries, where)
        if state is None:
            again.append(piece)
        else:
            states[piece] = state
    kept = known.keys() & states.keys()
    states |= await _refold(tx, again, where)
    await save_states(tx, states, known, seq, kept)
    return states


def _stepped(piece: str, row: Row | None, entries: list[Entry], where: str) -> PieceState | None:
    """The stored state and the new entries on top of it, or None where that would be wrong."""
    if not entries or any(isinstance(entry.record, k.Retract) for entry in entries):
        return None
    state = decode_state(row["state"]) if row else PieceState(id=piece)
    for entry in in_order(entries):
        if not follows(state, entry):
            return None
        step(state, entry, where)
    return state


async def _refold(tx: Write, pieces: list[str], where: str) -> dict[str, PieceState]:
    rows = await tx.rows_in(
        "SELECT piece, kind, subject, at, record FROM log WHERE piece IN (?)", pieces
    )
    return fold_rows(pieces, rows, where)


def fold_rows(pieces: Iterable[str], rows: Iterable[Row], where: str) -> dict[str, PieceState]:
    """Fold pieces from rows of the log (piece, kind, subject, at, record).

    A piece of which nothing is understood (unknown kinds only) is left out.
    """
    entries: dict[str, list[Entry]] = defaultdict(list)
    retracted: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        if row["kind"] == "retract":
            retracted[row["piece"]].add(row["subject"])
        elif (record := k.read_stored(row["record"])) is not None:
            entries[row["piece"]].append(Entry(row["at"], record))
    known = [piece for piece in pieces if piece in entries or piece in retracted]
    return {piece: fold(piece, entries[piece], retracted[piece], where) for piece in known}


async def save_states(
    tx: Write, states: dict[str, PieceState], known: dict[str, Row], seq: int,
    kept: Collection[str] = (),
) -> None:  # fmt: skip
    """Write piece rows, claims and facts. A piece once closed and open again is marked so; `kept`
    are those that were not folded again from their records."""
    rows = []
    for piece, state in states.items():
        before = known.get(piece)
        reopened = bool(before and before["reopened"]) or _reopens(before, state)
        rows.append((*piece_row(state), seq, reopened))
    await tx.many(
        "INSERT INTO piece (id, stage, cut, tray, closed_at, state, seq, reopened) "
        "VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET stage = excluded.stage, "
        "cut = excluded.cut, tray = excluded.tray, closed_at = excluded.closed_at, "
        "state = excluded.state, seq = excluded.seq, reopened = excluded.reopened",
        rows,
    )
    await _save_claims(tx, states)
    await save_facts(tx, states, known, kept)


def piece_row(state: PieceState) -> tuple[str, str, str | None, str | None, int | None, str]:
    """The columns of a piece that follow from its state alone."""
    closed = state.last_at if state.stage in CLOSED else None
    return state.id, state.stage, state.cut, state.tray, closed, encode(state).decode()


def claim_rows(state: PieceState) -> list[tuple[str, str, str, int, str]]:
    """The rows of the codes a piece was given."""
    return [(f"{c.code}:{state.id}", c.code, state.id, c.at, c.record) for c in state.codes]


def _reopens(before: Row | None, state: PieceState) -> bool:
    return before is not None and before["stage"] in CLOSED and state.stage not in CLOSED


async def _save_claims(tx: Write, states: dict[str, PieceState]) -> None:
    old = await tx.rows_in("SELECT id, piece FROM claim WHERE piece IN (?)", states)
    fresh = [row for state in states.values() for row in claim_rows(state)]
    gone = {row["id"] for row in old} - {row[0] for row in fresh}
    await tx.many("DELETE FROM claim WHERE id = ?", [(key,) for key in gone])
    await tx.many(
        "INSERT INTO claim (id, code, piece, at, record) VALUES (?, ?, ?, ?, ?) "
        "ON CONFLICT (id) DO UPDATE SET at = excluded.at, record = excluded.record",
        fresh,
    )
