"""Who is asking: what the guard finds out and handlers are given as `person`."""

from typing import Any, Literal

from litestar import Request
from msgspec import Struct

from api.records.fields import Key

Role = Literal["owner", "lead", "keeper"]


class Person(Struct, frozen=True):
    """A person on a device: `staff` and `device` are the keys that records carry."""

    staff: Key
    device: Key
    role: Role
    name: str
    device_name: str
    session: str


class StaffView(Struct, frozen=True):
    id: Key
    name: str
    role: Role


class DeviceView(Struct, frozen=True):
    id: Key
    name: str


class Me(Struct, frozen=True):
    """Who is signed in where, and on which database (`epoch`)."""

    epoch: str
    staff: StaffView
    device: DeviceView
    version: str
    demo: bool


def person_of(request: Request[Any, Any, Any]) -> Person:
    """The dependency `person` of handlers behind the guard."""
    found: Person = request.user
    return found


def me(person: Person, epoch: str, version: str, demo: bool) -> Me:
    """What the phone is told about who it is."""
    return Me(
        epoch,
        StaffView(person.staff, person.name, person.role),
        DeviceView(person.device, person.device_name),
        version,
        demo,
    )
