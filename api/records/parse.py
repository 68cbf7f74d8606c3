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
from api.records.problem import Problem, problem


class Parsed(Struct):
    """What is known of a raw record. `record` is None for an unknown kind or version."""

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


class Broken(Struct):
    """A record that cannot be taken, with the problem to answer and whatever could be read."""

    id: str | None
    device_seq: int | None
    digest: str
    text: str
    problem: Problem


def parse(raw: bytes) -> Parsed | Broken:
    """Read one record's JSON. Never raises for what a client can send."""
    # PostgreSQL's text takes no NUL; in JSON that decodes, one can only stand escaped.
    text = raw.decode("utf-8", "replace").replace("\0", "\ufffd")
    digest = hashlib.sha256(raw).hexdigest()
    try:
        loose = msgspec.json.decode(raw)
        canonical = msgspec.json.encode(loose, order="sorted")
        text, digest = canonical.decode(), hashlib.sha256(canonical).hexdigest()
        envelope = k.decode_envelope(canonical)
        milliseconds(envelope.observed.at)
        record = _known(envelope, canonical)
    except (msgspec.MsgspecError, ValueError, RecursionError) as error:
        found = _peek(raw)
        return Broken(found.get("id"), found.get("device_seq"), digest, text, _why(error))
    return Parsed(
        envelope.id, envelope.kind, envelope.subject, envelope.observed, envelope.staff,
        envelope.device, envelope.device_seq, digest, text, record,
    )  # fmt: skip


def _known(envelope: k.Envelope, canonical: bytes) -> k.AnyRecord | None:
    allowed = k.SUBJECTS.get(envelope.kind)
    if allowed is None or envelope.v > k.VERSION:
        return None
    if envelope.subject.kind not in allowed:
        raise ValueError(f"a '{envelope.kind}' cannot be about a {envelope.subject.kind}")
    return k.decode_record(canonical)


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
