"""The shapes of push and pull on the wire. The phone's types are made from these."""

from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta, Struct

from api.problems import BadBatch, NotJson, TooMany
from api.records.fields import Key, Moment
from api.records.halves import mended
from api.records.kinds import AnyRecord
from api.records.problem import Problem
from api.stock.state import PieceState
from api.strict_body import Strict

MAX_RECORDS = 500


class SentAt(Struct, frozen=True, forbid_unknown_fields=True):
    """The device's own clock, and its run's monotonic tick, when it sent the batch."""

    at: Moment
    session: Key | None = None
    tick: Annotated[int, Meta(ge=0)] | None = None


class PushBody(Struct, frozen=True, forbid_unknown_fields=True):
    """A batch as it is read: each record stays raw, so that a bad one cannot spoil the rest."""

    device: Key
    sent: SentAt
    records: list[msgspec.Raw]


class PushBatch(Struct, frozen=True):
    """A batch as it is documented: at most 500 records and 1 MiB."""

    device: Key
    sent: SentAt
    records: list[AnyRecord]


class ReadBatch(Strict[PushBatch]):
    """Documents a PushBatch and reads a PushBody."""

    def decode_bytes(self, value: bytes) -> Any:
        return read_batch(value)


class PushAnswer(Struct, frozen=True):
    """One record's fate. `later` is durably held, so it counts as delivered."""

    id: str | None
    index: int
    answer: Literal["stored", "duplicate", "refused", "later"]
    seq: int | None
    at: int | None
    problem: Problem | None
    notes: list[str]


class DeviceSeq(Struct, frozen=True):
    """What is known of the device's gapless numbering: the highest, and which are missing."""

    highest: int
    missing: list[int]


class PushAnswers(Struct, frozen=True):
    """All fates of a batch, after the commit. `skew_ms`: the device's clock less the server's."""

    epoch: str
    now: Moment
    skew_ms: int
    answers: list[PushAnswer]
    device_seq: DeviceSeq


class EntryOut(Struct, frozen=True):
    """A record of the log with its place in commit order and its corrected time."""

    seq: int
    at: int
    record: AnyRecord


class Page(Struct, frozen=True):
    """A page of changes. `pieces` are closed pieces' states, whose records are not sent."""

    epoch: str
    cursor: str
    more: bool
    entries: list[EntryOut]
    pieces: list[PieceState]


_decode = msgspec.json.Decoder(PushBody).decode


def read_batch(body: bytes) -> PushBody:
    """Read a batch without looking into its records. Raises NotJson, BadBatch or TooMany."""
    try:
        batch = _decode(mended(body))
    except msgspec.ValidationError as error:
        raise BadBatch(f"{error}. No record was taken; all stay on the device.") from error
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise NotJson(f"{error}. No record was taken; all stay on the device.") from error
    if len(batch.records) > MAX_RECORDS:
        raise TooMany
    return batch
