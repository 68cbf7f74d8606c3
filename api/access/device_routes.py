"""The list of phones over HTTP, and pairing."""

from typing import Any

from litestar import Request, get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody
from msgspec import Struct

from api.access import devices
from api.access.devices import DeviceRow
from api.access.links import sign_in_address
from api.access.person import Name, Person
from api.access.problems import DOOR, NoSuchDevice, NoSuchPerson
from api.access.routes import BODY
from api.database import Database
from api.problems import BadRequest, CrossSite, raises
from api.records.clock import now_ms
from api.records.fields import Key
from api.strict_body import Strict


class Devices(Struct, frozen=True):
    epoch: str
    devices: list[DeviceRow]


class PairQuestion(Struct, frozen=True, forbid_unknown_fields=True):
    """`staff` is whose phone it will be; null makes it a shared one."""

    staff: Key | None


class Pairing(Struct, frozen=True):
    """A code that opens one device until `expires_at` (UTC ms). The token stands behind '#' in
    the address, so it reaches no server's log."""

    epoch: str
    token: str
    expires_at: int
    address: str


class DeviceChange(Struct, frozen=True, forbid_unknown_fields=True):
    name: Name


@get("/api/devices", operation_id="devices", rule="lead", responses=raises(*DOOR))
async def get_devices(db: NamedDependency[Database]) -> Devices:
    """Every phone that was ever paired."""
    return Devices(db.epoch, await devices.devices(db))


@post("/api/devices/pair", operation_id="pair_device", rule="lead", status_code=200,
      dto=Strict[PairQuestion], return_dto=None,
      responses=raises(*BODY, *DOOR, NoSuchPerson))  # fmt: skip
async def pair_device(
    data: JSONBody[PairQuestion],
    request: Request[Any, Any, Any],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> Pairing:
    """Make a pairing code, good for one phone and five minutes."""
    token, ends = await devices.pair(db, person, data.staff, now_ms())
    # The address by which this page was reached is the one the phone's records will belong to.
    base = str(request.base_url).rstrip("/")
    return Pairing(db.epoch, token, ends, sign_in_address(base, token))


@post("/api/devices/{device:str}/change", operation_id="change_device", rule="lead",
      status_code=200, dto=Strict[DeviceChange], return_dto=None,
      responses=raises(*BODY, *DOOR, NoSuchDevice))  # fmt: skip
async def change_device(
    device: Key,
    data: JSONBody[DeviceChange],
    db: NamedDependency[Database],
    person: NamedDependency[Person],
) -> DeviceRow:
    """Give a phone another name."""
    return await devices.rename(db, person, device, data.name, now_ms())


@post("/api/devices/{device:str}/revoke", operation_id="revoke_device", rule="lead",
      status_code=200, responses=raises(BadRequest, CrossSite, *DOOR, NoSuchDevice))  # fmt: skip
async def revoke_device(
    device: Key, db: NamedDependency[Database], person: NamedDependency[Person]
) -> DeviceRow:
    """Sign a phone out for good, at once. What it had not sent is taken into quarantine."""
    return await devices.revoke(db, person, device, now_ms())


routes = [get_devices, pair_device, change_device, revoke_device]
