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
AT_GLUING = 5
"""So many of them, the first, are fixed at the gluing."""


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
        (piece, f"{_at_gluing(state, glued[piece], numbers)},{_since(state)}")
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
    been given a new base, also at the end of a cut that was taken back since, and whatever was
    moved stands in another tray."""
    found: dict[str, Glued] = {}
    begun: dict[str, str] = {}
    for piece, state in states.items():
        if state.begun is None or state.begun.kind != "glue":
            continue
        kind = Kind(state.base, state.glued_for, state.mouths_kept, state.size_mm, state.start,
                    state.arm)  # fmt: skip
        found[piece] = Glued(kind, state.tray)
        begun[piece] = state.begun.record
    ended = await db.rows_in(
        "SELECT DISTINCT piece FROM log WHERE piece IN (?) AND kind = 'cut_end'", found
    )
    other = {piece for piece in found if states[piece].moved_by is not None}
    changed = {begun[piece]: piece for piece in other | {row["piece"] for row in ended}}
    for row in await db.rows_in("SELECT id, record FROM log WHERE id IN (?)", changed):
        record = k.read_stored(row["record"])
        if isinstance(record, k.Glue):
            piece, body = changed[row["id"]], record.body
            kind = found[piece].kind._replace(base=body.base)
            found[piece] = Glued(kind, body.tray)
    return found


async def save_facts(
    tx: Write, states: Mapping[str, PieceState], known: Collection[str], kept: Collection[str]
) -> None:
    """Bring the rows of these pieces up to date; a piece whose gluing was taken back has none.

    `known` are those that there were before, `kept` those of them of which nothing older than what
    their state held has changed: what was fixed at their gluing stands in their rows already.
    """
    old = await tx.rows_in("SELECT piece, facts FROM fact WHERE piece IN (?)", kept)
    fixed = {row["piece"]: ",".join(row["facts"].split(",", AT_GLUING)[:-1]) for row in old}
    fresh = {piece: state for piece, state in states.items() if piece not in fixed}
    glued = await as_glued(tx, fresh)
    numbers = await _numbers(tx, words_of(fresh, glued))
    gone = [(one,) for one in fresh.keys() - glued if one in known]
    await tx.many("DELETE FROM fact WHERE piece = ?", gone)
    rows = [(piece, f"{fixed[piece]},{_since(states[piece])}") for piece in fixed]
    await tx.many(
        "INSERT INTO fact (piece, facts) VALUES (?, ?) "
        "ON CONFLICT (piece) DO UPDATE SET facts = excluded.facts",
        rows + fact_rows(fresh, glued, numbers),
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


def _at_gluing(state: PieceState, glued: Glued, numbers: Mapping[str, int]) -> str:
    begun = state.begun
    assert begun is not None
    return _written(
        numbers.get(state.cut or "", 0), numbers[kind_text(glued.kind)],
        numbers.get(glued.tray or "", 0), begun.at, ordinal(begun.day),
    )  # fmt: skip


def _since(state: PieceState) -> str:
    sale, again, loss, gone = state.ready_sale, state.ready_cut, state.loss, state.withdrawn
    return _written(
        *((ordinal(sale.after), ordinal(sale.by)) if sale else (0, 0)),
        *((ordinal(again.after), ordinal(again.by)) if again else (0, 0)),
        *((ordinal(loss.after), ordinal(loss.by), int(loss.how == "missing")) if loss
          else (0, 0, 0)),
        ordinal(state.looked), ordinal(state.looked_before), ordinal(state.alive),
        *((ordinal(gone.day), ordinal(gone.looked), ordinal(gone.alive)) if gone else (0, 0, 0)),
        int(state.exit is not None),
    )  # fmt: skip


def _written(*numbers: int) -> str:
    return ",".join(map(str, numbers))


@lru_cache(maxsize=4096)
def ordinal(day: str | None) -> int:
    """A local date as a number of days; 0 for none."""
    return 0 if day is None else date.fromisoformat(day).toordinal()
