"""Who is asking: what the guard finds out; handlers are given it as `caller` or as `person`."""

from typing import Annotated, Any, Literal

from litestar import Request
from msgspec import Meta, Struct

from api.records.fields import Key

# Nothing that is not seen, such as signs that turn the direction of writing: two names that look
# alike would not be. Joiners stay, since some scripts are not written without them.
Name = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=120,
        pattern=r"^(?=.*\w)(?!\s)[^\u0000-\u001f\u007f-\u009f\u00ad\u034f\u061c\u115f\u1160"
        r"\u180b-\u180f\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\u3164\ufeff\uffa0]*$"
        r"(?<!\s)(?!\n)",
        description="of a person or a phone: a letter or digit at least, nothing invisible",
    ),
]
Role = Literal["owner", "lead", "keeper"]
Revoked = Literal["device-revoked", "person-revoked"]


class Person(Struct, frozen=True):
    """A person on a device: `staff` and `device` are the keys that records carry.

    `revoked` is set where the device or the person was signed out for good: what they had not
    sent is still taken, into quarantine, and nothing else is answered.
    """

    staff: Key
    device: Key
    role: Role
    name: str
    session: str
    revoked: Revoked | None = None


class Caller(Struct, frozen=True):
    """A paired device, and who holds it; nobody does only where it is shared."""

    device: Key
    device_name: str
    shared: bool
    session: str
    person: Person | None

    @property
    def holder(self) -> Key | None:
        """The key of who holds the device."""
        return self.person.staff if self.person else None


class StaffView(Struct, frozen=True):
    id: Key
    name: str
    role: Role


class DeviceView(Struct, frozen=True):
    id: Key
    name: str
    shared: bool


class Me(Struct, frozen=True):
    """Who is signed in where, and on which database (`epoch`). `staff` is null on a shared phone
    that nobody holds."""

    epoch: str
    staff: StaffView | None
    device: DeviceView
    version: str
    demo: bool


def caller_of(request: Request[Any, Any, Any]) -> Caller:
    """The dependency `caller` of handlers behind the guard."""
    found: Caller = request.user
    return found


def person_of(request: Request[Any, Any, Any]) -> Person:
    """The dependency `person` of handlers whose rule is a role."""
    found = caller_of(request).person
    assert found is not None, "the guard lets nobody without a role through to here"
    return found


def me(caller: Caller, epoch: str, version: str, demo: bool) -> Me:
    """What the phone is told about who it is."""
    who = caller.person
    return Me(
        epoch,
        StaffView(who.staff, who.name, who.role) if who else None,
        DeviceView(caller.device, caller.device_name, caller.shared),
        version,
        demo,
    )
