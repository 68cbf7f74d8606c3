"""The farm's phones: paired by a one-time code, named, signed out for good."""

from msgspec import Struct

from api.access.audit import note
from api.access.links import make_pairing, withdraw_pairings
from api.access.people import may_look_after
from api.access.person import Person
from api.access.problems import NoSuchDevice, NoSuchPerson
from api.access.tables import Device
from api.database import Database, Row, Write
from api.records.fields import Key

_LIST = """
SELECT d.id, d.name, d.shared, d.made_at, d.removed_at, s.seen_at,
CASE WHEN d.shared THEN s.holder ELSE s.staff END AS holder,
(SELECT COUNT(*) FROM quarantine q WHERE q.device = d.id AND q.fate IS NULL) AS quarantined
FROM device d LEFT JOIN session s ON s.device = d.id AND s.ended_at IS NULL
"""


class DeviceRow(Struct, frozen=True):
    """A phone as the farm's list shows it: whose it is, or who holds it now; times in UTC ms.

    `quarantined` counts records of this phone that wait for a lead.
    """

    id: Key
    name: str
    shared: bool
    holder: Key | None
    made_at: int
    seen_at: int | None
    removed_at: int | None
    quarantined: int


async def devices(db: Database) -> list[DeviceRow]:
    """Every phone, those signed out for good last."""
    rows = await db.rows(f"{_LIST} ORDER BY d.removed_at IS NOT NULL, LOWER(d.name), d.id")
    return [_view(row) for row in rows]


async def pair(db: Database, by: Person, staff: str | None, now: int) -> tuple[str, int]:
    """A pairing code for a person's own phone, or for a shared one: its token, when it ends.

    Raises NoSuchPerson, or NotAllowed: a phone of theirs may do all that the person may.
    """
    async with db.write() as tx:
        if staff is not None and staff != by.staff:
            known = await tx.rows("SELECT role FROM staff WHERE id = ? AND left_at IS NULL", staff)
            if not known:
                raise NoSuchPerson
            may_look_after(by, known[0]["role"])
        token, ends = await make_pairing(staff or by.staff, now, shared=staff is None)
        await note(tx, now, "pairing-made", who=by.staff, device=by.device, about=staff,
                   shared=staff is None)  # fmt: skip
    return token, ends


async def rename(db: Database, by: Person, device: str, name: str, now: int) -> DeviceRow:
    """Another name. Raises NoSuchDevice."""
    async with db.write() as tx:
        await _row(tx, device)
        await Device.update({Device.name: name}).where(Device.id == device)
        await note(tx, now, "device-named", who=by.staff, device=by.device, about=device, name=name)
        return _view(await _row(tx, device))


async def revoke(db: Database, by: Person, device: str, now: int) -> DeviceRow:
    """Sign a phone out for good, at once. Raises NoSuchDevice.

    The same phone may be paired again: it is then a new device, and what it had recorded before
    and not sent goes to quarantine.
    """
    async with db.write() as tx:
        await _row(tx, device)
        await Device.update({Device.removed_at: now}).where(
            Device.id == device, Device.removed_at.is_null()
        )
        await withdraw_pairings(tx)
        await note(tx, now, "device-revoked", who=by.staff, device=by.device, about=device)
        return _view(await _row(tx, device))


async def _row(tx: Write, device: str) -> Row:
    rows = await tx.rows(f"{_LIST} WHERE d.id = ?", device)
    if not rows:
        raise NoSuchDevice
    return rows[0]


def _view(row: Row) -> DeviceRow:
    return DeviceRow(
        row["id"], row["name"], bool(row["shared"]), row["holder"], row["made_at"], row["seen_at"],
        row["removed_at"], row["quarantined"],
    )  # fmt: skip
