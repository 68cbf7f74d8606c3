"""What the healing arithmetic reads of a glued piece, as whole numbers.

A piece's state is JSON, and a million of them take the better part of a minute to read; a row of
`fact` is FIELDS as decimal numbers with commas between, which the database itself puts together
into one text. The row follows from the piece's state and, where it has been moved or cut since,
from its gluing; what it means for healing is decided on reading, in `api/healing/intervals.py`.
"""

from collections.abc import Collection, Iterable, Mapping
from datetime import date
from functools import lru_cache
from typing import NamedTuple

import msgspec

from api.database import Rows, Write
from api.records import kinds as k
from api.records.fields import Encrustation, MouthsKept, Purpose
from api.stock.state import PieceState

FIELDS = (
    "cut", "kind", "tray",  # numbers of `word`: the cut, the Kind, the tray it was glued into
    "begun_at", "begun_on",  # the gluing: corrected UTC in milliseconds, and the local day
    "sale_after", "sale_by",  # first ready for sale, in (after, by]
    "again_after", "again_by",  # first ready to be cut again
    "loss_after", "loss_by", "missing",  # lost; missing is 1 where it was not found
    "looked", "looked_before", "alive",  # newest looks, and the last day seen alive at all
    "gone_on", "gone_looked", "gone_alive",  # first cut itself, and its last looks before that
    "left",  # 1 where it has left the farm
)  # fmt: skip
"""Days are counted from the first of January of the year 1 (`date.toordinal`); 0 is none."""


class Kind(NamedTuple):
    """What a piece was glued as; many pieces share one. None is not recorded."""

    base: str | None
    purpose: Purpose | None
    mouths: MouthsKept | None
    size_mm: int | None
    start: Encrustation | None
    arm: str | None


class Glued(NamedTuple):
    """What was decided at gluing: later changes of base, purpose or tray do not enter."""

    kind: Kind
    tray: str | None


read_kind = msgspec.json.Decoder(Kind).decode
_write = msgspec.json.Encoder().encode


def fact_rows(
    states: Mapping[str, PieceState], glued: Mapping[str, Glued], numbers: Mapping[str, int]
) -> list[tuple[str, str]]:
    """(piece, facts) of every glued piece among these states, `numbers` being their words'."""
    return [
        (piece, ",".join(map(str, _facts(state, glued[piece], numbers))))
        for piece, state in states.items() if piece in glued
    ]  # fmt: skip


def words_of(states: Mapping[str, PieceState], glued: Mapping[str, Glued]) -> set[str]:
    """Every text that the rows of these pieces name by number."""
    found = {states[piece].cut or "" for piece in glued}
    for one in glued.values():
        found |= {kind_text(one.kind), one.tray or ""}
    return found - {""}


async def as_glued(db: Rows, states: Mapping[str, PieceState]) -> dict[str, Glued]:
    """How each glued piece was glued. A state holds the newest base and tray: a mother may have
    been given a new base, and whatever was moved stands in another tray."""
    found: dict[str, Glued] = {}
    changed: dict[str, str] = {}
    for piece, state in states.items():
        if state.begun is None or state.begun.kind != "glue":
            continue
        kind = Kind(state.base, state.glued_for, state.mouths_kept, state.size_mm, state.start,
                    state.arm)  # fmt: skip
        found[piece] = Glued(kind, state.tray)
        if state.cuts or state.moved_by is not None:
            changed[state.begun.record] = piece
    for row in await db.rows_in("SELECT id, record FROM log WHERE id IN (?)", changed):
        record = k.read_stored(row["record"])
        if isinstance(record, k.Glue):
            piece, body = changed[row["id"]], record.body
            kind = found[piece].kind._replace(base=body.base, purpose=body.purpose)
            found[piece] = Glued(kind, body.tray)
    return found


async def save_facts(tx: Write, states: Mapping[str, PieceState], known: Collection[str]) -> None:
    """Bring the rows of these pieces up to date; a piece whose gluing was taken back has none.
    `known` are those that there were before."""
    glued = await as_glued(tx, states)
    numbers = await _numbers(tx, words_of(states, glued))
    await tx.many(
        "DELETE FROM fact WHERE piece = ?",
        [(one,) for one in states.keys() - glued if one in known],
    )
    await tx.many(
        "INSERT INTO fact (piece, facts) VALUES (?, ?) "
        "ON CONFLICT (piece) DO UPDATE SET facts = excluded.facts",
        fact_rows(states, glued, numbers),
    )


async def numbers_of(db: Rows, words: Iterable[str]) -> dict[str, int]:
    """The numbers of those words that have one."""
    rows = await db.rows_in("SELECT id, text FROM word WHERE text IN (?)", words)
    return {row["text"]: row["id"] for row in rows}


async def _numbers(tx: Write, words: set[str]) -> dict[str, int]:
    """The number of each word, a new one where it has none: one writer at a time, so no two."""
    known = await numbers_of(tx, words)
    if fresh := sorted(words - known.keys()):
        [last] = await tx.rows("SELECT COALESCE(MAX(id), 0) AS id FROM word")
        made = {word: last["id"] + at for at, word in enumerate(fresh, 1)}
        await tx.many("INSERT INTO word (text, id) VALUES (?, ?)", list(made.items()))
        known |= made
    return known


@lru_cache(maxsize=4096)
def kind_text(kind: Kind) -> str:
    """A kind as its word."""
    return _write(kind).decode()


def _facts(state: PieceState, glued: Glued, numbers: Mapping[str, int]) -> list[int]:
    begun, sale, again, loss = state.begun, state.ready_sale, state.ready_cut, state.loss
    gone = state.withdrawn
    assert begun is not None
    return [
        numbers.get(state.cut or "", 0), numbers[kind_text(glued.kind)],
        numbers.get(glued.tray or "", 0), begun.at, ordinal(begun.day),
        *((ordinal(sale.after), ordinal(sale.by)) if sale else (0, 0)),
        *((ordinal(again.after), ordinal(again.by)) if again else (0, 0)),
        *((ordinal(loss.after), ordinal(loss.by), int(loss.how == "missing")) if loss
          else (0, 0, 0)),
        ordinal(state.looked), ordinal(state.looked_before), ordinal(state.alive),
        *((ordinal(gone.day), ordinal(gone.looked), ordinal(gone.alive)) if gone else (0, 0, 0)),
        int(state.exit is not None),
    ]  # fmt: skip


@lru_cache(maxsize=4096)
def ordinal(day: str | None) -> int:
    """A local date as a number of days; 0 for none."""
    return 0 if day is None else date.fromisoformat(day).toordinal()
