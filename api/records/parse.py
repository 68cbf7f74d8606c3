"""One raw record of a batch, read as far as it can be: known, unknown but kept, or refused.

A record of an unknown kind or a newer version is stored and passed on but never folded; one that
breaks the vocabulary is refused by itself and never stops its neighbours.
"""

import hashlib
from typing import Any

import msgspec
from msgspec import Struct

from api.records import kinds as k
from api.records.clock import milliseconds
from api.records.fields import Observed, Subject
from api.records.known import check_days, check_settings, check_subject
from api.records.lift import version_of
from api.records.problem import Problem, problem


class Parsed(Struct):
    """What is known of a raw record. `record` is None for an unknown kind or version.

    `names` is what must be known before the record means anything; unknown kinds name nothing.
    """

    id: str
    kind: str
    subject: Subject
    observed: Observed
    staff: str
    device: str
    device_seq: int
    digest: str
    text: str
    record: k.AnyRecord | None
    names: k.Names


class Broken(Struct):
    """A record that cannot be taken, with the problem to answer and whatever could be read."""

    id: str | None
    device_seq: int | None
    digest: str
    text: str
    problem: Problem


def parse(raw: bytes) -> Parsed | Broken:
    """Read one record's JSON. Never raises for what a client can send.

    A record that is understood is kept as its own encoding, so that the digest does not depend on
    the order of fields or on what stands at its default; any other is kept sorted, as it came.
    One of an older version is kept as that version's, and understood as today's.
    """
    try:
        read = k.read_record(raw)
        if read is not None and read.sent.subject.kind in k.SUBJECTS[k.kind_of(read.record)]:
            milliseconds(read.sent.observed.at)
            check_subject(read.sent.subject)
            check_settings(read.record)
            check_days(read.record)
            text = msgspec.json.encode(read.sent)
            return _parsed(k.kind_of(read.record), read.sent, text, read.record)
    except (msgspec.MsgspecError, ValueError, RecursionError):
        pass  # said below, with whatever can be read of it
    return _not_understood(raw)


def _not_understood(raw: bytes) -> Parsed | Broken:
    # PostgreSQL's text takes no NUL; in JSON that decodes, one can only stand escaped.
    text = raw.decode("utf-8", "replace").replace("\0", "\ufffd")
    digest = hashlib.sha256(raw).hexdigest()
    try:
        canonical = msgspec.json.encode(msgspec.json.decode(raw), order="sorted")
        text, digest = canonical.decode(), hashlib.sha256(canonical).hexdigest()
        envelope = k.decode_envelope(canonical)
        milliseconds(envelope.observed.at)
        check_subject(envelope.subject)
        _must_be_unknown(envelope, canonical)
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        found = _peek(raw)
        return Broken(found.get("id"), found.get("device_seq"), digest, text, _why(error))
    return _parsed(envelope.kind, envelope, canonical, None)


def _parsed(
    kind: str, envelope: k.Envelope | k.Record, text: bytes, record: k.AnyRecord | None
) -> Parsed:
    return Parsed(
        envelope.id, kind, envelope.subject, envelope.observed, envelope.staff, envelope.device,
        envelope.device_seq, hashlib.sha256(text).hexdigest(), text.decode(), record,
        k.names(record) if record is not None else frozenset(),
    )  # fmt: skip


def _must_be_unknown(envelope: k.Envelope, canonical: bytes) -> None:
    """A kind and version that we do know must be right: say what is wrong with it."""
    allowed = k.SUBJECTS.get(envelope.kind)
    if allowed is None or envelope.v > version_of(envelope.kind):
        return
    if envelope.subject.kind not in allowed:
        raise ValueError(f"a '{envelope.kind}' cannot be about a {envelope.subject.kind}")
    if (read := k.read_record(canonical)) is not None:
        check_settings(read.record)
        check_days(read.record)
    raise ValueError("it cannot be read as this version's kind")


def _why(error: Exception) -> Problem:
    why = "it is nested too deeply" if isinstance(error, RecursionError) else str(error)
    return problem(
        "bad-record", 422, "This record does not fit the vocabulary.",
        f"{why}. It is kept as it came; record the thing again if it matters.",
    )  # fmt: skip


def _peek(raw: bytes) -> dict[str, Any]:
    """The id and device_seq of a broken record, if they can be read at all."""
    try:
        loose = msgspec.json.decode(raw)
    except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
        return {}
    if not isinstance(loose, dict):
        return {}
    found: dict[str, Any] = {}
    if isinstance(loose.get("id"), str):
        found["id"] = loose["id"][:64].replace("\0", "")
    seq = loose.get("device_seq")
    if isinstance(seq, int) and not isinstance(seq, bool) and 0 < seq < 2**53:
        found["device_seq"] = seq
    return found
