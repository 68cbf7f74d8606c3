"""The fold: a piece's state as a pure function of its records.

    fold(id, entries, retracted, zone) = reduce(step, sorted(entries not retracted), start(id))

Entries are sorted by (corrected time, record id), so the order of arrival cannot matter; the same
fold stands in TypeScript and both run the cases of `fixtures/fold/`. `step` changes the state it
is given, so a newer record can be added to a stored state without the older ones being read again.
No readiness rule enters here: readiness is what a person recorded.
"""

from collections.abc import Callable, Iterable
from datetime import datetime
from functools import lru_cache
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from api.records import kinds as k
from api.stock.state import (
    Begun,
    Event,
    ExitEvent,
    Flag,
    FlagKind,
    LossEvent,
    PieceState,
    Stage,
    Withdrawn,
    add_claim,
)


class Entry(NamedTuple):
    """A record with its corrected time in UTC milliseconds."""

    at: int
    record: k.AnyRecord


def fold(
    piece: str, entries: Iterable[Entry], retracted: frozenset[str] | set[str], zone: str
) -> PieceState:
    """Fold a piece's entries (its own records, and the cuts it was the mother of)."""
    state = PieceState(id=piece)
    kept = (entry for entry in entries if entry.record.id not in retracted)
    for entry in in_order(kept):
        step(state, entry, zone)
    return state


def in_order(entries: Iterable[Entry]) -> list[Entry]:
    """Entries by (corrected time, record id): the one order of everything."""
    return sorted(entries, key=lambda entry: (entry.at, entry.record.id))


def follows(state: PieceState, entry: Entry) -> bool:
    """Whether `entry` sorts after everything in `state`, so that `step` alone is enough."""
    return (entry.at, entry.record.id) > (state.last_at, state.last_id)


def step(state: PieceState, entry: Entry, zone: str) -> None:
    """Add the next entry to the state, in place."""
    record = entry.record
    state.last_at, state.last_id = entry.at, record.id
    kind = k.kind_of(record)
    handler = _HANDLERS.get(kind)
    if handler is None:
        return
    if kind in _LOOKS and _ignored(state, record.id):
        return
    handler(state, record, entry.at, local_day(entry.at, zone))
    state.stage = _stage(state)


def local_day(at: int, zone: str) -> str:
    """The facility's calendar date at a UTC time in milliseconds."""
    return datetime.fromtimestamp(at / 1000, _zone(zone)).date().isoformat()


@lru_cache(maxsize=32)
def _zone(name: str) -> ZoneInfo:
    return ZoneInfo(name)


def _stage(state: PieceState) -> Stage:
    if state.exit:
        return "exited"
    if state.loss:
        return "lost"
    if state.ready_sale or state.ready_cut:
        return "ready"
    if state.begun is None:
        return "unknown"
    return "colony" if state.begun.kind == "arrival" else "healing"


def _flag(state: PieceState, what: FlagKind, record: str, against: str | None) -> None:
    state.flags.append(Flag(what, record, against))


def _ignored(state: PieceState, record: str) -> bool:
    """A look before gluing or after leaving is kept and flagged, and counts for nothing."""
    if state.exit:
        _flag(state, "after-exit", record, state.exit.record)
        return True
    if state.begun is None:
        _flag(state, "before-glue", record, None)
        return True
    return False


def _begin(state: PieceState, kind: Any, record: str, at: int, day: str) -> bool:
    if state.begun:
        _flag(state, "begun-twice", record, state.begun.record)
        return False
    state.begun = Begun(kind, record, at, day)
    return True


def _arrival(state: PieceState, record: k.Arrival, at: int, day: str) -> None:
    body = record.body
    if _begin(state, "arrival", record.id, at, day):
        state.line, state.species, state.origin = body.line, body.species, body.origin
        state.cut_number, state.size_mm = body.cut_number, body.size_mm
        state.quarantine_days = body.quarantine_days
        add_claim(state.codes, body.code, at, record.id)


def _glue(state: PieceState, record: k.Glue, at: int, day: str) -> None:
    body = record.body
    if not _begin(state, "glue", record.id, at, day):
        return
    state.cut, state.base = body.cut, body.base
    state.purpose = state.glued_for = body.purpose
    state.mouths_kept, state.size_mm, state.arm = body.mouths_kept, body.size_mm, body.arm
    state.start = state.encrustation = body.encrustation
    add_claim(state.codes, body.code, at, record.id)
    if body.tray is not None and state.moved_by is None:
        state.tray, state.place = body.tray, body.place


def _bind(state: PieceState, record: k.Bind, at: int, _day: str) -> None:
    add_claim(state.codes, record.body.code, at, record.id)


def _see(state: PieceState, record: str, day: str, what: FlagKind) -> None:
    """Seen alive: a loss recorded earlier is withdrawn, and both records are flagged."""
    if state.loss:
        _flag(state, what, record, state.loss.record)
        state.loss = None
    if day != state.alive:
        state.alive_before, state.alive = state.alive, day


def _look(state: PieceState, day: str) -> None:
    if day != state.looked:
        state.looked_before, state.looked = state.looked, day


def _check(state: PieceState, record: k.Check, _at: int, day: str) -> None:
    body = record.body
    _see(state, record.id, day, "seen-after-loss")
    if body.swept:
        state.swept += 1
        return
    state.checks += 1
    _look(state, day)
    for name in ("expansion", "mouth", "encrustation", "recession"):
        value = getattr(body, name)
        if value is not None:
            setattr(state, name, value)
    state.signs = list(body.signs)


def _ready(state: PieceState, record: k.Ready, _at: int, day: str) -> None:
    name = "ready_sale" if record.body.endpoint == "sale" else "ready_cut"
    _see(state, record.id, day, "ready-after-loss")
    if getattr(state, name) is None:
        after = state.looked if state.looked != day else state.looked_before
        setattr(state, name, Event(record.id, after, day))
    _look(state, day)


def _loss(state: PieceState, record: k.Loss, _at: int, day: str) -> None:
    body = record.body
    if state.loss is None:
        after = state.alive if state.alive != day else state.alive_before
        state.loss = LossEvent(record.id, after, day, body.how, body.sign, body.cause)
    elif state.loss.how == "missing" and body.how == "dead":
        # Found dead later: it was lost between the last time it was seen and the day it was missed.
        first = state.loss
        state.loss = LossEvent(record.id, first.after, first.by, "dead", body.sign, body.cause)


def _exit(state: PieceState, record: k.Exit, _at: int, day: str) -> None:
    state.exit = ExitEvent(record.id, day, record.body.how, record.body.to)


def _move(state: PieceState, record: k.Move, at: int, _day: str) -> None:
    body = record.body
    if state.moved_by is not None and at == state.moved_at:
        _flag(state, "moves-at-once", record.id, state.moved_by)
    state.tray, state.place, state.tank = body.tray, body.place, body.tank
    state.moved_at, state.moved_by = at, record.id


def _purpose(state: PieceState, record: k.Purpose, _at: int, _day: str) -> None:
    state.purpose = record.body.purpose


def _cut(state: PieceState, record: k.Cut, _at: int, day: str) -> None:
    # A saw leaves pieces behind whatever else was recorded: the cut counts, and a person is asked.
    if state.begun is None:
        _flag(state, "cut-before-begun", record.id, None)
    elif state.exit:
        _flag(state, "cut-after-exit", record.id, state.exit.record)
    elif state.loss:
        _flag(state, "cut-after-loss", record.id, state.loss.record)
    state.cuts += 1
    state.last_cut = day
    if state.withdrawn is None:
        state.withdrawn = Withdrawn(record.id, day, state.looked, state.alive)


def _cut_end(state: PieceState, record: k.CutEnd, _at: int, day: str) -> None:
    body = record.body
    if body.remains == "used-up" and state.exit is None:
        state.exit = ExitEvent(record.id, day, "cut-up")
    elif body.remains == "new-base" and body.base is not None:
        state.base = body.base


_LOOKS = frozenset({"check", "ready", "loss", "exit"})
"""Kinds that say something of a living piece: they mean nothing before gluing or after leaving."""

_HANDLERS: dict[str, Callable[[PieceState, Any, int, str], None]] = {
    "arrival": _arrival,
    "glue": _glue,
    "bind": _bind,
    "check": _check,
    "ready": _ready,
    "loss": _loss,
    "exit": _exit,
    "move": _move,
    "purpose": _purpose,
    "cut": _cut,
    "cut_end": _cut_end,
}
