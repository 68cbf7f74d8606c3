"""The list of people over HTTP."""

from litestar import get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody
from msgspec import Struct

from api.access import people
from api.access.holding_routes import Pin
from api.access.people import PersonView
from api.access.person import Name, Person, Role
from api.access.problems import DOOR, LastOwner, NoSuchPerson, NotHeld, WeakPin
from api.access.routes import BODY
from api.database import Database
from api.problems import BadRequest, CrossSite, SignedOut, raises
from api.records.clock import now_ms
from api.records.fields import Key
from api.strict_body import Strict


class People(Struct, frozen=True):
    epoch: str
    people: list[PersonView]


class NewPerson(Struct, frozen=True, forbid_unknown_fields=True):
    name: Name
    role: Role
    pin: Pin | None = None


class PersonChange(Struct, frozen=True, forbid_unknown_fields=True):
    """What is absent stays as it is."""

    name: Name | None = None
    role: Role | None = None


class NewPin(Struct, frozen=True, forbid_unknown_fields=True):
    pin: Pin


@get("/api/people", operation_id="people", rule="keeper", responses=raises(SignedOut, NotHeld))
async def get_people(db: NamedDependency[Database]) -> People:
    """Everybody, those who have left included: records carry keys, and phones show names."""
    return People(db.epoch, await people.people(db))


@post("/api/people", operation_id="add_person", rule="lead", dto=Strict[NewPerson], return_dto=None,
      status_code=200, responses=raises(*BODY, *DOOR, WeakPin))  # fmt: skip
async def add_person(
    data: JSONBody[NewPerson], db: NamedDependency[Database], person: NamedDependency[Person]
) -> PersonView:
    """Add a keeper; only an owner adds leads and owners."""
    return await people.add(db, person, data.name, data.role, data.pin, now_ms())


@post("/api/people/{staff:str}/change", operation_id="change_person", rule="lead", status_code=200,
      dto=Strict[PersonChange], return_dto=None,
      responses=raises(*BODY, *DOOR, NoSuchPerson, LastOwner))  # fmt: skip
async def change_person(
    staff: Key,
    data: JSONBody[PersonChange],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> PersonView:
    """Give a person another name or role."""
    return await people.change(db, person, staff, data.name, data.role, now_ms())


@post("/api/people/{staff:str}/pin", operation_id="set_pin", rule="lead", status_code=204,
      dto=Strict[NewPin], return_dto=None,
      responses=raises(*BODY, *DOOR, NoSuchPerson, WeakPin))  # fmt: skip
async def set_pin(
    staff: Key,
    data: JSONBody[NewPin],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> None:
    """Give a person a new PIN, for one who has none or has forgotten it."""
    await people.set_pin(db, person, staff, data.pin, now_ms())


@post("/api/people/{staff:str}/revoke", operation_id="revoke_person", rule="lead", status_code=200,
      responses=raises(BadRequest, CrossSite, *DOOR, NoSuchPerson, LastOwner))  # fmt: skip
async def revoke_person(
    staff: Key, db: NamedDependency[Database], person: NamedDependency[Person]
) -> PersonView:
    """Sign a person out everywhere, at once. What they had not sent is taken into quarantine."""
    return await people.revoke(db, person, staff, now_ms())


@post("/api/people/{staff:str}/restore", operation_id="restore_person", rule="lead",
      status_code=200, responses=raises(BadRequest, CrossSite, *DOOR, NoSuchPerson))  # fmt: skip
async def restore_person(
    staff: Key, db: NamedDependency[Database], person: NamedDependency[Person]
) -> PersonView:
    """Take back a person who had left."""
    return await people.restore(db, person, staff, now_ms())


routes = [get_people, add_person, change_person, set_pin, revoke_person, restore_person]
