"""People, and the links that let them in for the first time on a device."""

from api.access.person import Role
from api.access.tables import Link, Staff
from api.access.tokens import digest, new_key, new_token
from api.database import Database
from api.records.clock import now_ms

LINK_MS = 24 * 3600 * 1000
"""How long a link made by hand is good: it may have to be carried to the phone."""


async def add_staff(db: Database, name: str, role: Role, key: str | None = None) -> str:
    """Add a person and return the key that records carry."""
    staff = key or new_key("staff")
    async with db.write():
        await Staff.insert(Staff(id=staff, name=name, role=role, made_at=now_ms()))
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
    token, made_at = new_token(), now_ms() if now is None else now
    async with db.write():
        await Link.insert(
            Link(
                digest=digest(token),
                staff=staff,
                made_at=made_at,
                expires_at=made_at + LINK_MS,
                reusable=reusable,
            )
        )
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
