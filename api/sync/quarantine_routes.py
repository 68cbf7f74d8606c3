"""Quarantine over HTTP: what waits for a lead, and the lead's word; saved outboxes taken in."""

from typing import Annotated

from litestar import get, post
from litestar.di import NamedDependency
from litestar.params import JSONBody
from msgspec import Meta, Struct

from api.access.person import Person
from api.access.problems import DOOR, NotHeld
from api.access.routes import BODY
from api.database import Database
from api.problems import BadBatch, SignedOut, TooMany, raises
from api.records.clock import now_ms
from api.records.fields import Id
from api.strict_body import Strict
from api.sync import quarantine
from api.sync.push import push
from api.sync.quarantine import Refused, WaitingGroup, Which
from api.sync.wire import MAX_RECORDS, PushAnswers, PushBatch, PushBody, ReadBatch

SHOWN = 200


class InQuarantine(Struct, frozen=True):
    """`refused` are the last of `refused_count` records that could not be taken at all."""

    epoch: str
    groups: list[WaitingGroup]
    refused: list[Refused]
    refused_count: int


class Admitted(Struct, frozen=True):
    epoch: str
    stored: int
    duplicate: int
    later: int
    refused: int


class HeldRecords(Struct, frozen=True, forbid_unknown_fields=True):
    """Records that their phone knows to be held here; at most 500."""

    ids: Annotated[list[Id], Meta(max_length=MAX_RECORDS)]


class Fates(Struct, frozen=True):
    epoch: str
    set_aside: list[Id]


class SetAside(Struct, frozen=True):
    epoch: str
    count: int


@get("/api/quarantine", operation_id="quarantine", rule="lead", responses=raises(*DOOR))
async def get_quarantine(db: NamedDependency[Database]) -> InQuarantine:
    """What waits for a lead, and what could not be taken at all."""
    found, count = await quarantine.refused(db, SHOWN)
    return InQuarantine(db.epoch, await quarantine.groups(db), found, count)


@post("/api/quarantine/admit", operation_id="admit", rule="lead", status_code=200,
      dto=Strict[Which], return_dto=None, responses=raises(*BODY, *DOOR))  # fmt: skip
async def admit(
    data: JSONBody[Which], db: NamedDependency[Database], person: NamedDependency[Person]
) -> Admitted:
    """Put a group into the log, with its own author, device and times."""
    return Admitted(db.epoch, **await quarantine.admit(db, person, data, now_ms()))


@post("/api/quarantine/set-aside", operation_id="set_aside", rule="lead", status_code=200,
      dto=Strict[Which], return_dto=None, responses=raises(*BODY, *DOOR))  # fmt: skip
async def set_aside(
    data: JSONBody[Which], db: NamedDependency[Database], person: NamedDependency[Person]
) -> SetAside:
    """Leave a group out. It stays where it is, and can be admitted later."""
    return SetAside(db.epoch, await quarantine.set_aside(db, person, data, now_ms()))


@post("/api/sync/take-in", operation_id="take_in", rule="lead", status_code=200, dto=ReadBatch,
      return_dto=None, responses=raises(*BODY, *DOOR, BadBatch, TooMany))  # fmt: skip
async def take_in(
    data: JSONBody[PushBatch], db: NamedDependency[Database], person: NamedDependency[Person]
) -> PushAnswers:
    """Take records from a saved outbox into quarantine; `device` and `sent` are the file's."""
    batch: PushBody = data  # type: ignore[assignment]  # read as raw records, documented typed
    return await push(db, batch, sender=person, taken_in=True)


@post("/api/sync/fates", operation_id="fates", rule="keeper", status_code=200,
      dto=Strict[HeldRecords], return_dto=None,
      responses=raises(*BODY, SignedOut, NotHeld))  # fmt: skip
async def fates(data: JSONBody[HeldRecords], db: NamedDependency[Database]) -> Fates:
    """What became of records that were answered `later`; those admitted come by the pull."""
    return Fates(db.epoch, await quarantine.which_aside(db, data.ids))


routes = [get_quarantine, admit, set_aside, take_in, fates]
