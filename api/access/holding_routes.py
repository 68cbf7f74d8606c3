"""Who holds a shared phone, and one's own PIN and password."""

from typing import Annotated, Any

from litestar import Request, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody
from msgspec import Meta, Struct

from api.access import holding, passwords, people
from api.access.person import Caller, Me, Person, me
from api.access.problems import (
    NoPin,
    NoSuchPerson,
    NotAllowed,
    NotHeld,
    NotShared,
    PinLocked,
    WeakPassword,
    WeakPin,
    WrongPassword,
    WrongPin,
)
from api.access.routes import BODY
from api.database import Database
from api.problems import CrossSite, SignedOut, raises
from api.records.clock import now_ms
from api.records.fields import Key
from api.strict_body import Strict
from api.version import VERSION

Pin = Annotated[str, Meta(min_length=1, max_length=20, description="4 to 8 digits")]
Password = Annotated[str, Meta(min_length=1, max_length=200, description="15 or more characters")]


class Crew(Struct, frozen=True):
    epoch: str
    crew: list[holding.CrewMember]


class HoldQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    staff: Key
    pin: Pin


class PinQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`old` is the present PIN, where there is one."""

    pin: Pin
    old: Pin | None = None


class PasswordQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    password: Password
    old: Password | None = None


@get("/api/access/crew", operation_id="crew", rule="paired", responses=raises(SignedOut))
async def get_crew(db: NamedDependency[Database]) -> Crew:
    """Who may hold a shared phone."""
    return Crew(db.epoch, await holding.crew(db))


@post("/api/access/hold", operation_id="hold", rule="paired", status_code=200,
      dto=Strict[HoldQuestion], return_dto=None,
      responses=raises(*BODY, SignedOut, NotShared, NoSuchPerson, NoPin, WrongPin, PinLocked),
      )  # fmt: skip
async def hold(
    data: JSONBody[HoldQuestion],
    request: Request[Any, Any, Any],
    db: NamedDependency[Database],
    caller: NamedDependency[Caller],
) -> Me:
    """Take a shared phone into one's hands, by PIN."""
    held = await holding.hold(db, caller, data.staff, data.pin, now_ms())
    return me(held, db.epoch, VERSION, request.app.state.demo)


@post("/api/access/release", operation_id="release", rule="keeper", status_code=204,
      responses=raises(SignedOut, NotHeld, CrossSite, NotShared))  # fmt: skip
async def release(db: NamedDependency[Database], caller: NamedDependency[Caller]) -> None:
    """Hand a shared phone on: nobody holds it until somebody says so."""
    await holding.release(db, caller, now_ms())


@post("/api/access/pin", operation_id="own_pin", rule="keeper", status_code=204,
      dto=Strict[PinQuestion], return_dto=None,
      responses=raises(*BODY, SignedOut, NotHeld, WeakPin, WrongPin, PinLocked))  # fmt: skip
async def own_pin(
    data: JSONBody[PinQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> None:
    """Set one's own PIN; the old one is asked for where there is one."""
    await people.set_own_pin(db, person, data.pin, data.old, now_ms())


@post("/api/access/password", operation_id="own_password", rule="owner", status_code=204,
      dto=Strict[PasswordQuestion], return_dto=None,
      responses=raises(*BODY, SignedOut, NotHeld, NotAllowed, WeakPassword, WrongPassword),
      )  # fmt: skip
async def own_password(
    data: JSONBody[PasswordQuestion], db: NamedDependency[Database], person: NamedDependency[Person]
) -> None:
    """Set an owner's own password; the old one is asked for where there is one."""
    await passwords.set_password(db, person, data.password, data.old, now_ms())


routes = [get_crew, hold, release, own_pin, own_password]
