"""Who holds a shared phone: chosen on it, by PIN. The phone itself stays paired in between."""

from msgspec import Struct

from api.access.audit import note
from api.access.person import Caller
from api.access.problems import NoPin, NoSuchPerson, NotShared, WrongPin
from api.access.secret import TRIES, check_right_pin
from api.access.sessions import find_caller_of, remember_holding
from api.access.tables import Session
from api.database import Database
from api.records.fields import Key

_PIN = "SELECT pin FROM staff WHERE id = ? AND left_at IS NULL"


class CrewMember(Struct, frozen=True):
    id: Key
    name: str
    has_pin: bool


async def crew(db: Database) -> list[CrewMember]:
    """Who may hold a shared phone, by name."""
    rows = await db.rows(
        "SELECT id, name, pin FROM staff WHERE left_at IS NULL ORDER BY LOWER(name), id"
    )
    return [CrewMember(row["id"], row["name"], row["pin"] is not None) for row in rows]


async def hold(db: Database, caller: Caller, staff: str, pin: str, now: int) -> Caller:
    """Make somebody the holder. Raises NotShared, NoSuchPerson, NoPin, WrongPin or PinLocked."""
    if not caller.shared:
        raise NotShared
    rows = await db.rows(_PIN, staff)
    if not rows:
        raise NoSuchPerson
    if rows[0]["pin"] is None:
        raise NoPin
    await check_right_pin(db, caller.device, staff, rows[0]["pin"], pin, now)
    async with db.write() as tx:
        # The PIN was judged before this turn came: it may be gone, or another, by now.
        if rows != await tx.rows(_PIN, staff):
            raise WrongPin(TRIES)
        await Session.update({Session.holder: staff}).where(Session.digest == caller.session)
        await remember_holding(tx, caller.device, staff, now)
        await note(tx, now, "held", who=staff, device=caller.device, about=caller.device)
        return await find_caller_of(tx, caller.session, now)


async def release(db: Database, caller: Caller, now: int) -> None:
    """Nobody holds the phone from now on. Raises NotShared."""
    if not caller.shared:
        raise NotShared
    async with db.write() as tx:
        await Session.update({Session.holder: None}).where(Session.digest == caller.session)
        await note(tx, now, "released", who=caller.holder,
                   device=caller.device, about=caller.device)  # fmt: skip
