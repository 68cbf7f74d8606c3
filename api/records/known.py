"""What a record must be beyond its shape: rules that the log and the fold rely on."""

import re
from datetime import date
from typing import Literal

import msgspec
from msgspec import Struct

from api.records import kinds as k
from api.records.fields import UUID7, Subject
from api.records.zones import is_zone

SETTINGS = "settings"
"""The id of the one entry of the list of that name."""

_uuid7 = re.compile(UUID7)
_MADE_ON_DEVICES = frozenset({"piece", "cut", "record"})


class _Settings(Struct):
    """Types of the settings that the server itself reads. Others pass through."""

    name: str | None = None
    zone: str | None = None
    label_host: str | None = None
    wild_number: Literal[0, 1] | None = None
    held_back_keeps: bool | None = None
    locale: str | None = None


def check_subject(subject: Subject) -> None:
    """Raises ValueError where a piece, cut or record is named by anything but a UUIDv7."""
    if subject.kind in _MADE_ON_DEVICES and not _uuid7.match(subject.id):
        raise ValueError(f"a {subject.kind} is named by a UUIDv7, and '{subject.id}' is none")


def check_days(record: k.AnyRecord) -> None:
    """Raises ValueError for a date that no calendar has: phones read it each in its own way."""
    if isinstance(record, k.Arrival) and record.body.came_on is not None:
        date.fromisoformat(record.body.came_on)


def check_settings(record: k.AnyRecord) -> None:
    """Raises ValueError for settings that the fold and the labels could not work with."""
    if not isinstance(record, k.Define) or SETTINGS not in (record.body.list, record.subject.id):
        return
    if (record.body.list, record.subject.id) != (SETTINGS, SETTINGS):
        raise ValueError("the list 'settings' has the one entry 'settings', and no other list has")
    fields = msgspec.convert(record.body.fields, _Settings)
    if fields.zone is not None and not is_zone(fields.zone):
        raise ValueError(f"'{fields.zone}' is no time zone; write one like Europe/Lisbon")
