"""The farm's people: added, renamed, given a role or a PIN, signed out for good, taken back.

Leads look after keepers; leads and owners are the owners' affair. A row is never deleted: the
records of who has left keep their author.
"""

from msgspec import Struct

from api.access.audit import What, note
from api.access.links import withdraw_pairings
from api.access.person import Person, Role
from api.access.problems import LastOwner, NoSuchPerson, NotAllowed
from api.access.rules import reaches
from api.access.secret import check_pin, check_right_pin, hash_secret
from api.access.tables import Staff
from api.access.tokens import new_key
from api.database import Database, Row, Write
from api.problems import Forbidden
from api.records.fields import Key


class PersonView(Struct, frozen=True):
    """A person as the farm's list shows them; times in UTC ms."""

    id: Key
    name: str
    role: Role
    has_pin: bool
    made_at: int
    left_at: int | None


async def people(db: Database) -> list[PersonView]:
    """Everybody, those who have left included, by name."""
    rows = await db.rows("SELECT * FROM staff ORDER BY LOWER(name), id")
    return [_view(row) for row in rows]


async def add(
    db: Database, by: Person, name: str, role: Role, pin: str | None, now: int
) -> PersonView:
    """A new person. Raises NotAllowed or WeakPin."""
    may_look_after(by, role)
    hashed = await _hashed(pin)
    staff = new_key("staff")
    async with db.write() as tx:
        await Staff.insert(Staff(id=staff, name=name, role=role, made_at=now, pin=hashed))
        await _note(tx, now, "person-added", by, staff, name=name, role=role)
        return _view(await _row(tx, staff))


async def change(
    db: Database, by: Person, staff: str, name: str | None, role: Role | None, now: int
) -> PersonView:
    """Another name or role. Raises NoSuchPerson, NotAllowed or LastOwner.

    Who is raised is signed out and loses the PIN: whoever looked after them may know it, and may
    have paired a phone as theirs.
    """
    async with db.write() as tx:
        row = await _row(tx, staff)
        may_look_after(by, row["role"])
        if role is not None and role != row["role"]:
            may_look_after(by, role)
            await _keep_an_owner(tx, row)
            if reaches(role, row["role"]):
                await _sign_out(tx, staff, now)
                await Staff.update({Staff.pin: None}).where(Staff.id == staff)
        await Staff.update({
            Staff.name: name or row["name"], Staff.role: role or row["role"],
        }).where(Staff.id == staff)  # fmt: skip
        await _note(tx, now, "person-changed", by, staff, name=name, role=role)
        return _view(await _row(tx, staff))


_OWN_PIN = "Nothing was changed. Set your own PIN under You, where the old one is asked for."


async def set_pin(
    db: Database, by: Person, staff: str, pin: str, now: int, *, own: bool = False
) -> None:
    """A PIN for a person. Raises NoSuchPerson, NotAllowed or WeakPin.

    own  the old PIN was asked for; without that, Forbidden for one's own
    """
    hashed = await _hashed(pin)
    async with db.write() as tx:
        row = await _row(tx, staff)
        if staff != by.staff:
            may_look_after(by, row["role"])
        elif row["pin"] is not None and not own:
            raise Forbidden(_OWN_PIN)
        await Staff.update({Staff.pin: hashed}).where(Staff.id == staff)
        await tx.rows("DELETE FROM attempt WHERE id LIKE ? RETURNING id", f"%|{staff}")
        await _note(tx, now, "pin-set", by, staff)


async def set_own_pin(db: Database, by: Person, pin: str, old: str | None, now: int) -> None:
    """One's own PIN. Raises WeakPin, WrongPin where `old` is not the old one, or PinLocked.

    The old one is asked for since a phone may lie about unlocked, and counted as on a shared one.
    """
    [row] = await db.rows("SELECT pin FROM staff WHERE id = ?", by.staff)
    if row["pin"] is not None:
        await check_right_pin(db, by.device, by.staff, row["pin"], old or "", now)
    await set_pin(db, by, by.staff, pin, now, own=True)


async def revoke(db: Database, by: Person, staff: str, now: int) -> PersonView:
    """Sign a person out everywhere, at once. Raises NoSuchPerson, NotAllowed or LastOwner.

    Nothing is ended here: every request looks whether its person is still one of the farm's.
    """
    async with db.write() as tx:
        row = await _row(tx, staff)
        may_look_after(by, row["role"])
        await _keep_an_owner(tx, row)
        await Staff.update({Staff.left_at: now}).where(Staff.id == staff, Staff.left_at.is_null())
        await withdraw_pairings(tx)
        await _note(tx, now, "person-revoked", by, staff)
        return _view(await _row(tx, staff))


async def restore(db: Database, by: Person, staff: str, now: int) -> PersonView:
    """One who had left is back, with the role of before. Raises NoSuchPerson or NotAllowed.

    Their phones stay signed out: one of them may be why they were signed out for good.
    """
    async with db.write() as tx:
        row = await _row(tx, staff)
        may_look_after(by, row["role"])
        await Staff.update({Staff.left_at: None}).where(Staff.id == staff)
        await _sign_out(tx, staff, now)
        await _note(tx, now, "person-restored", by, staff)
        return _view(await _row(tx, staff))


def may_look_after(by: Person, role: str) -> None:
    """Keepers are a lead's affair, everybody else an owner's. Raises NotAllowed."""
    needed: Role = "lead" if role == "keeper" else "owner"
    if not reaches(by.role, needed):
        raise NotAllowed(needed)


async def _sign_out(tx: Write, staff: str, now: int) -> None:
    """End the sessions of a person's own phones, and lay down the shared ones they hold."""
    await tx.many(
        "UPDATE session SET ended_at = ? WHERE staff = ? AND ended_at IS NULL AND device IN "
        "(SELECT id FROM device WHERE NOT COALESCE(shared, FALSE))",
        [(now, staff)],
    )
    await tx.many("UPDATE session SET holder = NULL WHERE holder = ?", [(staff,)])
    # A link or code that nobody has used yet is a way in like a phone.
    await tx.many(
        "DELETE FROM link WHERE staff = ? AND used_at IS NULL AND NOT reusable", [(staff,)]
    )


async def _keep_an_owner(tx: Write, row: Row) -> None:
    if row["role"] != "owner" or row["left_at"] is not None:
        return
    others = await tx.rows(
        "SELECT 1 AS one FROM staff WHERE role = 'owner' AND left_at IS NULL AND id <> ? LIMIT 1",
        row["id"],
    )
    if not others:
        raise LastOwner


async def _hashed(pin: str | None) -> str | None:
    if pin is None:
        return None
    check_pin(pin)
    return await hash_secret(pin)


async def _row(tx: Write, staff: str) -> Row:
    rows = await tx.rows("SELECT * FROM staff WHERE id = ?", staff)
    if not rows:
        raise NoSuchPerson
    return rows[0]


async def _note(
    tx: Write, now: int, what: What, by: Person, staff: str, **detail: str | None
) -> None:
    await note(tx, now, what, who=by.staff, device=by.device, about=staff, **detail)


def _view(row: Row) -> PersonView:
    return PersonView(
        row["id"], row["name"], row["role"], row["pin"] is not None, row["made_at"], row["left_at"]
    )
