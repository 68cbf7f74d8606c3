"""People, and the links that let them in for the first time on a device."""

from api.access.audit import note
from api.access.person import Role
from api.access.tables import Link, Staff
from api.access.tokens import digest, new_key, new_token
from api.database import Database, Write
from api.records.clock import now_ms

LINK_MS = 24 * 3600 * 1000
"""How long a link made by hand is good: it may have to be carried to the phone."""
PAIRING_MS = 5 * 60 * 1000
"""How long a pairing code is good: it is shown to the phone that stands beside it."""


async def add_staff(db: Database, name: str, role: Role, key: str | None = None) -> str:
    """Add a person and return the key that records carry."""
    staff = key or new_key("staff")
    async with db.write() as tx:
        await Staff.insert(Staff(id=staff, name=name, role=role, made_at=now_ms()))
        await note(tx, now_ms(), "person-added", about=staff, name=name, role=role)
    return staff


async def owner_of(db: Database) -> str:
    """The key of the farm's owner; one named 'Owner' is made where there is none."""
    owners = (
        await Staff.select(Staff.id)
        .where(Staff.role == "owner", Staff.left_at.is_null())
        .order_by(Staff.made_at, Staff.id)
    )
    return str(owners[0]["id"]) if owners else await add_staff(db, "Owner", "owner")


async def make_link(
    db: Database, staff: str, *, reusable: bool = False, now: int | None = None
) -> str:
    """The token of a new sign-in link for a person. It is shown once and never stored."""
    made_at = now_ms() if now is None else now
    async with db.write() as tx:
        if not reusable:
            await note(tx, made_at, "link-made", about=staff)
        return await _make(staff, made_at, made_at + LINK_MS, reusable=reusable)


async def make_pairing(staff: str, now: int, *, shared: bool) -> tuple[str, int]:
    """The token of a new pairing code, and until when it is good. Those left over are withdrawn.

    Called inside a write transaction.

    staff   whose phone it will be; who made the code where it will be `shared`
    """
    await Link.delete().where(
        Link.expires_at < now, Link.used_at.is_null(), Link.reusable.eq(False)
    )
    return await _make(staff, now, now + PAIRING_MS, shared=shared), now + PAIRING_MS


async def withdraw_pairings(tx: Write) -> None:
    """Who is signed out may have made a code a minute ago; whoever else did makes another."""
    await tx.many(
        "DELETE FROM link WHERE used_at IS NULL AND NOT reusable AND expires_at - made_at <= ?",
        [(PAIRING_MS,)],
    )


async def _make(
    staff: str, made_at: int, ends: int, *, reusable: bool = False, shared: bool = False
) -> str:
    token = new_token()
    await Link.insert(
        Link(digest=digest(token), staff=staff, made_at=made_at, expires_at=ends,
             reusable=reusable, shared=shared)
    )  # fmt: skip
    return token


async def end_reusable_links(db: Database) -> None:
    """Withdraw links that were to be good only while an earlier demo ran."""
    async with db.write():
        await Link.delete().where(Link.reusable.eq(True))


async def is_first_start(db: Database) -> bool:
    """Whether nobody has ever signed in: the owner then needs a link."""
    rows = await db.rows("SELECT 1 AS one FROM session LIMIT 1")
    return not rows


def sign_in_address(base: str, token: str) -> str:
    """The link itself. The token stands behind '#', so it never reaches a server's log."""
    return f"{base}/sign-in#{token}"
