"""Older versions of kinds, read as today's: each step takes a body from one version to the next.

A record keeps the version it was made in and its stored text never changes; only what is folded
is lifted. The same steps stand in `pwa/src/records/lift.ts`, and both languages run the cases of
`fixtures/lift/`. A step holds the shape its version had, so that an old record is checked as
strictly as ever, and its text, and with it its digest, stays what it was when it was today's.
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple

import msgspec
from msgspec import Struct

from api.records.bodies import Body


class Step(NamedTuple):
    """One version of a kind that is today's no more.

    body  what a body of that version was
    up    the fields of the next version's body out of one of that version
    """

    body: type[Body]
    up: Callable[[Any], dict[str, Any]]


LIFTS: dict[str, dict[int, Step]] = {}
"""By kind, and by the version a step starts from. So far every kind has one version only."""


class Head(Struct):
    """What says how to read the rest."""

    kind: str
    v: int = 1


read_head = msgspec.json.Decoder(Head).decode


def version_of(kind: str) -> int:
    """Today's version of a kind."""
    return max(LIFTS.get(kind, {}), default=0) + 1


def is_old(head: Head) -> bool:
    """Whether there are steps from this version to today's."""
    return head.v in LIFTS.get(head.kind, {})


def read_old(raw: bytes | str, head: Head, envelope: type[Struct]) -> tuple[Any, dict[str, Any]]:
    """An old record within the common `envelope`, and its fields in today's version.

    Raises msgspec.ValidationError where it does not fit its own version.
    """
    old: Any = msgspec.json.decode(raw, type=_shape(envelope, head.kind, _step(head, head.v).body))
    fields = _step(head, head.v).up(old.body)
    for version in range(head.v + 1, version_of(head.kind)):
        step = _step(head, version)
        fields = step.up(msgspec.convert(fields, step.body))
    return old, msgspec.to_builtins(old) | {"v": version_of(head.kind), "body": fields}


def _step(head: Head, version: int) -> Step:
    return LIFTS[head.kind][version]


@lru_cache(maxsize=64)
def _shape(envelope: type[Struct], kind: str, body: type[Body]) -> type[Struct]:
    return msgspec.defstruct(
        f"Old_{kind}", [("body", body)], bases=(envelope,), frozen=True, kw_only=True, tag=kind
    )
