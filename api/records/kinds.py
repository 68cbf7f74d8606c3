"""The vocabulary: every kind of record, as one tagged union over a common envelope.

    Record ─┬─ Arrival, Cut, Glue, CutEnd, Bind          a piece comes to be
            ├─ Check, Ready, Loss, Exit, Move, Purpose   what is seen and done to it
            ├─ Care, Water, Photo, Note                  around it
            └─ Define, Retract                           lists, and mistakes taken back

A record is never edited. `names(record)` says what else must be known before it means anything.
"""

from collections.abc import Callable
from typing import Annotated, Any, NamedTuple, get_args

import msgspec
from msgspec import Meta, Struct

from api.records import bodies as b
from api.records.fields import Id, Key, Observed, Subject
from api.records.lift import Head, is_old, read_head, read_old, version_of

VERSION = 1
"""Of a record that names none."""
Names = frozenset[tuple[str, str]]
"""What a record refers to, as (subject kind, id) pairs."""


class Record(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, tag_field="kind"):
    """The envelope. `device_seq` is gapless on its device, so a missing record can be proved."""

    id: Id
    v: Annotated[int, Meta(ge=1, le=999)] = VERSION
    subject: Subject
    observed: Observed
    staff: Key
    device: Key
    device_seq: Annotated[int, Meta(ge=1, le=2**53 - 1)]


class Arrival(Record, frozen=True, kw_only=True, tag="arrival"):
    body: b.ArrivalBody


class Cut(Record, frozen=True, kw_only=True, tag="cut"):
    body: b.CutBody


class Glue(Record, frozen=True, kw_only=True, tag="glue"):
    body: b.GlueBody


class CutEnd(Record, frozen=True, kw_only=True, tag="cut_end"):
    body: b.CutEndBody


class Bind(Record, frozen=True, kw_only=True, tag="bind"):
    body: b.BindBody


class Check(Record, frozen=True, kw_only=True, tag="check"):
    body: b.CheckBody


class Ready(Record, frozen=True, kw_only=True, tag="ready"):
    body: b.ReadyBody


class Loss(Record, frozen=True, kw_only=True, tag="loss"):
    body: b.LossBody


class Exit(Record, frozen=True, kw_only=True, tag="exit"):
    body: b.ExitBody


class Move(Record, frozen=True, kw_only=True, tag="move"):
    body: b.MoveBody


class Purpose(Record, frozen=True, kw_only=True, tag="purpose"):
    body: b.PurposeBody


class Care(Record, frozen=True, kw_only=True, tag="care"):
    body: b.CareBody


class Water(Record, frozen=True, kw_only=True, tag="water"):
    body: b.WaterBody


class Photo(Record, frozen=True, kw_only=True, tag="photo"):
    body: b.PhotoBody


class Note(Record, frozen=True, kw_only=True, tag="note"):
    body: b.NoteBody


class Define(Record, frozen=True, kw_only=True, tag="define"):
    body: b.DefineBody


class Retract(Record, frozen=True, kw_only=True, tag="retract"):
    body: b.RetractBody


AnyRecord = (
    Arrival | Cut | Glue | CutEnd | Bind | Check | Ready | Loss | Exit | Move | Purpose
    | Care | Water | Photo | Note | Define | Retract
)  # fmt: skip


class Envelope(Struct, frozen=True, kw_only=True, tag_field=None):
    """What can be read of a record whose kind or version this server does not know."""

    id: Id
    kind: Annotated[str, Meta(pattern=r"^[a-z_]{1,32}$")]
    v: Annotated[int, Meta(ge=1, le=999)] = VERSION
    subject: Subject
    observed: Observed
    staff: Key
    device: Key
    device_seq: Annotated[int, Meta(ge=1, le=2**53 - 1)]
    body: dict[str, Any]


SUBJECTS: dict[str, tuple[str, ...]] = {
    "arrival": ("piece",),
    "cut": ("cut",),
    "glue": ("piece",),
    "cut_end": ("cut",),
    "bind": ("piece", "tray", "tank"),
    "check": ("piece",),
    "ready": ("piece",),
    "loss": ("piece",),
    "exit": ("piece",),
    "move": ("piece", "tray"),
    "purpose": ("piece",),
    "care": ("tank", "tray", "piece"),
    "water": ("tank",),
    "photo": ("piece", "cut", "tray", "tank", "item"),
    "note": ("piece", "cut", "tray", "tank", "item"),
    "define": ("item",),
    "retract": ("record",),
}
"""Which subjects each kind may have."""

BEGINS = {"arrival": "piece", "glue": "piece", "cut": "cut", "define": "item"}
"""Kinds that bring their own subject into being."""

_KINDS: dict[type, str] = {kind: str(kind.__struct_config__.tag) for kind in get_args(AnyRecord)}
_records: msgspec.json.Decoder[AnyRecord] = msgspec.json.Decoder(AnyRecord)
decode_record: Callable[[bytes | str], AnyRecord] = _records.decode
decode_envelope: Callable[[bytes | str], Envelope] = msgspec.json.Decoder(Envelope).decode


class Read(NamedTuple):
    """A record that is understood: as it was made, and in today's version of its kind."""

    sent: Record
    record: AnyRecord


def read_record(raw: bytes | str) -> Read | None:
    """Read a record strictly; None for a kind or version that is kept and not understood.

    Raises msgspec.DecodeError where it is no JSON, msgspec.ValidationError where it does not fit.
    """
    try:
        record = decode_record(raw)
        head = Head(kind_of(record), record.v)
    except msgspec.ValidationError:
        head = read_head(raw)
        if head.kind in SUBJECTS and head.v == version_of(head.kind):
            raise
        record = None
    if is_old(head):
        old, fields = read_old(raw, head, Record)
        return Read(old, msgspec.convert(fields, AnyRecord))
    # A newer version may look like this one and mean something else.
    if record is None or head.v != version_of(head.kind):
        return None
    return Read(record, record)


def read_stored(text: str) -> AnyRecord | None:
    """A record from the log's own text in today's version; None for one that is not understood."""
    try:
        read = read_record(text)
    except msgspec.ValidationError:
        return None
    return read.record if read else None


def kind_of(record: AnyRecord) -> str:
    """The wire name of a record's kind."""
    return _KINDS[type(record)]


def names(record: AnyRecord) -> Names:
    """What a record refers to and does not itself begin, as (subject kind, id) pairs.

    A list entry counts as ("item", key); trays and tanks are entries too.
    """
    kind, subject, body = kind_of(record), record.subject, record.body
    found: set[tuple[str, str]] = set()
    if kind not in BEGINS:
        found.add((_ABOUT[subject.kind], subject.id))
    for name, target in _REFERENCES.get(kind, {}).items():
        value = getattr(body, name)
        if value is not None:
            found.add((target, value))
    return frozenset(found)


_ABOUT = {"piece": "piece", "cut": "cut", "record": "record", "item": "item", "tray": "item",
          "tank": "item"}  # fmt: skip

_REFERENCES: dict[str, dict[str, str]] = {
    "arrival": {"species": "item"},
    "cut": {"mother": "piece", "method": "item", "blade": "item", "trial": "item"},
    "glue": {"cut": "cut", "base": "item", "tray": "item"},
    "cut_end": {"base": "item"},
    "loss": {"cause": "item"},
    "move": {"tray": "item", "tank": "item"},
}
