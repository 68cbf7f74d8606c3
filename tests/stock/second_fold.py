"""The fold a second time, by definitions over sets of records instead of a walk through them.

Every field of the state is said by one formula: the first, the last, or the latest day of the
records that count. Nothing is carried along, so it shares no step with the fold it checks.
"""

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

from api.records import kinds as k
from api.stock.fold import Entry
from api.stock.state import (
    Begun,
    Claim,
    Event,
    ExitEvent,
    Flag,
    LossEvent,
    PieceState,
    Withdrawn,
)

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LOOKS = ("check", "ready", "loss", "exit")


class Seen(NamedTuple):
    """A record with its place in the order and its local date. Compares by its place."""

    key: tuple[int, str]
    kind: str
    day: str
    body: Any

    @property
    def id(self) -> str:
        return self.key[1]


def second_fold(piece: str, entries: Iterable[Entry], gone: set[str], zone: str) -> PieceState:
    """The state of a piece by definitions. Same arguments as `fold`."""
    return Definitions(piece, [e for e in entries if e.record.id not in gone], zone).state()


class Definitions:
    def __init__(self, piece: str, entries: list[Entry], zone: str) -> None:
        self.piece = piece
        where = ZoneInfo(zone)
        self.all = sorted(
            Seen((e.at, e.record.id), k.kind_of(e.record),
                 (EPOCH + timedelta(milliseconds=e.at)).astimezone(where).strftime("%Y-%m-%d"),
                 e.record.body)
            for e in entries
        )  # fmt: skip
        self.begins = self.of("arrival", "glue")
        self.begin = self.begins[0] if self.begins else None
        started = [s for s in self.all if self.begin and s.key > self.begin.key]
        leaving = [s for s in started if s.kind == "exit"] + [
            s for s in self.of("cut_end") if s.body.remains == "used-up"
        ]
        self.left = min(leaving, default=None)
        self.valid = [
            s for s in started
            if s.kind in LOOKS and (self.left is None or s.key < self.left.key)
        ]  # fmt: skip
        self.sightings = [s for s in self.valid if s.kind in ("check", "ready")]
        self.looks = [s for s in self.sightings if s.kind == "ready" or not s.body.swept]
        self.losses = [s for s in self.valid if s.kind == "loss"]

    def of(self, *kinds: str) -> list[Seen]:
        return [s for s in self.all if s.kind in kinds]

    def state(self) -> PieceState:
        fields = self.beginning() | self.places() | self.seen() | self.fate() | self.cutting()
        last = self.all[-1].key if self.all else (-1, "")
        return PieceState(
            id=self.piece, last_at=last[0], last_id=last[1], flags=self.flags(), **fields
        )

    def beginning(self) -> dict[str, Any]:
        claims: dict[str, Claim] = {}
        for s in sorted([*self.begins[:1], *self.of("bind")]):
            if s.body.code is not None:
                claims.setdefault(s.body.code, Claim(s.body.code, *s.key))
        found: dict[str, Any] = {"codes": list(claims.values())}
        if self.begin is None:
            return found
        names = (
            ["cut", "mouths_kept", "size_mm", "arm"] if self.begin.kind == "glue"
            else ["line", "species", "origin", "cut_number", "quarantine_days", "size_mm"]
        )  # fmt: skip
        found |= {name: getattr(self.begin.body, name) for name in names}
        if self.begin.kind == "glue":
            found["start"] = self.begin.body.encrustation
        kind: Any = self.begin.kind
        return {**found, "begun": Begun(kind, self.begin.id, self.begin.key[0], self.begin.day)}

    def places(self) -> dict[str, Any]:
        glued = [s for s in self.begins[:1] if s.kind == "glue"]
        moves = self.of("move")
        purposes = sorted(glued + self.of("purpose"))
        based = [s for s in self.of("cut_end") if s.body.remains == "new-base" and s.body.base]
        bases = sorted(glued + based)
        found: dict[str, Any] = {
            "purpose": purposes[-1].body.purpose if purposes else None,
            "glued_for": glued[0].body.purpose if glued else None,
            "base": bases[-1].body.base if bases else None,
        }
        if moves:
            body, (at, key) = moves[-1].body, moves[-1].key
            return found | {"tray": body.tray, "place": body.place, "tank": body.tank,
                            "moved_at": at, "moved_by": key}  # fmt: skip
        for s in glued:
            if s.body.tray is not None:
                found |= {"tray": s.body.tray, "place": s.body.place}
        return found

    def seen(self) -> dict[str, Any]:
        checks = [s for s in self.looks if s.kind == "check"]
        swept = len(self.sightings) - len(self.looks)
        found: dict[str, Any] = {"checks": len(checks), "swept": swept}
        for name in ("expansion", "mouth", "encrustation", "recession"):
            told = [v for s in checks if (v := getattr(s.body, name)) is not None]
            found[name] = told[-1] if told else None
        if found["encrustation"] is None and self.begin and self.begin.kind == "glue":
            found["encrustation"] = self.begin.body.encrustation
        found["signs"] = list(checks[-1].body.signs) if checks else []
        for name, among in (("looked", self.looks), ("alive", self.sightings)):
            days = sorted({s.day for s in among}, reverse=True)
            found[name], found[f"{name}_before"] = (*days, None, None)[:2]
        return found

    def fate(self) -> dict[str, Any]:
        found: dict[str, Any] = {
            name: next(
                (Event(s.id, latest(self.looks, s), s.day) for s in self.sightings
                 if s.kind == "ready" and s.body.endpoint == endpoint), None)
            for name, endpoint in (("ready_sale", "sale"), ("ready_cut", "cut"))
        }  # fmt: skip
        found["loss"] = self.loss_at(None)
        if self.left is not None:
            how: Any = "cut-up" if self.left.kind == "cut_end" else self.left.body.how
            to = None if self.left.kind == "cut_end" else self.left.body.to
            found["exit"] = ExitEvent(self.left.id, self.left.day, how, to)
        ready = found["ready_sale"] or found["ready_cut"]
        kind = self.begin.kind if self.begin else None
        found["stage"] = (
            "exited" if self.left else "lost" if found["loss"] else "ready" if ready
            else {"glue": "healing", "arrival": "colony", None: "unknown"}[kind]
        )  # fmt: skip
        return found

    def loss_at(self, limit: Seen | None) -> LossEvent | None:
        """The loss that stands just before `limit` (at the end for None)."""
        before = [s for s in self.valid if limit is None or s.key < limit.key]
        seen = max((s.key for s in before if s.kind in ("check", "ready")), default=(-1, ""))
        standing = [s for s in before if s.kind == "loss" and s.key > seen]
        if not standing:
            return None
        first = standing[0]
        told = next((s for s in standing if s.body.how == "dead"), first)
        teller = told if first.body.how == "missing" else first
        body = teller.body
        after = latest(self.sightings, first)
        return LossEvent(teller.id, after, first.day, body.how, body.sign, body.cause)

    def cutting(self) -> dict[str, Any]:
        cuts = self.of("cut")
        if not cuts:
            return {}
        first = cuts[0]
        looked = [s.day for s in self.looks if s.key < first.key]
        alive = [s.day for s in self.sightings if s.key < first.key]
        ended = Withdrawn(first.id, first.day, max(looked, default=None), max(alive, default=None))
        return {"cuts": len(cuts), "last_cut": cuts[-1].day, "withdrawn": ended}

    def flags(self) -> list[Flag]:
        found: dict[tuple[int, str], Flag] = {}
        for s in self.begins[1:]:
            found[s.key] = Flag("begun-twice", s.id, self.begins[0].id)
        for s in self.of(*LOOKS):
            if self.left is not None and s.key > self.left.key:
                found[s.key] = Flag("after-exit", s.id, self.left.id)
            elif self.begin is None or s.key < self.begin.key:
                found[s.key] = Flag("before-glue", s.id)
        for s in self.sightings:
            if lost := self.loss_at(s):
                what: Any = "ready-after-loss" if s.kind == "ready" else "seen-after-loss"
                found[s.key] = Flag(what, s.id, lost.record)
        for s in self.of("cut"):
            found |= self.odd_cut(s)
        moves = self.of("move")
        for first, second in pairwise(moves):
            if first.key[0] == second.key[0]:
                found[second.key] = Flag("moves-at-once", second.id, first.id)
        return [found[key] for key in sorted(found)]

    def odd_cut(self, s: Seen) -> dict[tuple[int, str], Flag]:
        """A cut of what was not there yet, or is said to be there no more."""
        if self.begin is None or s.key < self.begin.key:
            return {s.key: Flag("cut-before-begun", s.id)}
        if self.left is not None and s.key > self.left.key:
            return {s.key: Flag("cut-after-exit", s.id, self.left.id)}
        if lost := self.loss_at(s):
            return {s.key: Flag("cut-after-loss", s.id, lost.record)}
        return {}


def latest(among: list[Seen], limit: Seen) -> str | None:
    """The latest day before the day of `limit` on which one of these was recorded before it."""
    return max((s.day for s in among if s.key < limit.key and s.day < limit.day), default=None)
