"""One append under way: what it knows, what it has stored, and what it answers."""

from dataclasses import dataclass, field
from typing import Literal

from api.database import Write
from api.records import kinds as k
from api.records.parse import Parsed
from api.records.problem import Problem

Outcome = Literal["stored", "duplicate", "refused", "later"]


@dataclass
class Answer:
    """The fate of one record of a batch, by its place in the batch."""

    index: int
    id: str | None
    answer: Outcome
    seq: int | None = None
    at: int | None = None
    problem: Problem | None = None
    notes: list[str] = field(default_factory=list)


@dataclass
class Stored:
    """A record that was just given its `seq`. `piece` is the piece whose fold it enters."""

    seq: int
    at: int
    piece: str | None
    parsed: Parsed


@dataclass
class Batch:
    """One append under way: what is known, what was stored, what is answered."""

    tx: Write
    now: int
    seq: int
    known: set[tuple[str, str]] = field(default_factory=set)
    cut_mothers: dict[str, str] = field(default_factory=dict)
    record_pieces: dict[str, tuple[str, str | None]] = field(default_factory=dict)
    stored: list[Stored] = field(default_factory=list)
    answers: dict[int, Answer] = field(default_factory=dict)


def store(batch: Batch, item: Parsed, at: int) -> int:
    """Give a record its `seq` and learn what it begins. Written by `append` at the end."""
    batch.seq += 1
    piece = _piece_of(batch, item)
    batch.stored.append(Stored(batch.seq, at, piece, item))
    batch.known.add(("record", item.id))
    batch.record_pieces[item.id] = (item.kind, piece)
    if begun := k.BEGINS.get(item.kind):
        batch.known.add((begun, item.subject.id))
    if isinstance(item.record, k.Cut):
        batch.cut_mothers.setdefault(item.subject.id, item.record.body.mother)
    return batch.seq


def missing_names(batch: Batch, item: Parsed) -> list[tuple[str, str]]:
    """What the record names that nobody has told of yet."""
    return sorted(item.names - batch.known)


async def learn(batch: Batch, items: list[Parsed]) -> None:
    """Look up everything a batch names, in one query a kind of thing."""
    wanted: dict[str, set[str]] = {"piece": set(), "cut": set(), "item": set(), "record": set()}
    for item in items:
        for kind, key in item.names:
            wanted[kind].add(key)
    tx = batch.tx
    for kind, sql in _KNOWN.items():
        for row in await tx.rows_in(sql, wanted[kind]):
            batch.known.add((kind, row["id"]))
            if kind == "cut":
                batch.cut_mothers[row["id"]] = row["mother"]
            elif kind == "record":
                batch.record_pieces[row["id"]] = (row["kind"], row["piece"])


_KNOWN = {
    "piece": "SELECT id FROM piece WHERE id IN (?)",
    "cut": "SELECT id, mother FROM cut WHERE id IN (?)",
    "item": "SELECT id FROM item WHERE id IN (?)",
    "record": "SELECT id, kind, piece FROM log WHERE id IN (?)",
}


def _piece_of(batch: Batch, item: Parsed) -> str | None:
    if isinstance(item.record, k.Cut):
        return item.record.body.mother
    if isinstance(item.record, k.CutEnd):
        return batch.cut_mothers.get(item.subject.id)
    if isinstance(item.record, k.Retract):
        return batch.record_pieces.get(item.subject.id, ("", None))[1]
    return item.subject.id if item.subject.kind == "piece" else None
