"""The audit list: what was changed among people and devices, by whom, on which device, and when.

An entry is written in the transaction that makes the change, so neither stands without the other.
"""

from typing import Annotated, Any, Literal

import msgspec
from litestar import get
from litestar.di import NamedDependency
from litestar.params import Parameter
from msgspec import Struct

from api.access.problems import NotAllowed
from api.database import Database, Write
from api.problems import BadRequest, SignedOut, raises

What = Literal[
    "person-added", "person-changed", "person-revoked", "person-restored", "pin-set",
    "password-set", "pin-locked", "pairing-made", "link-made", "device-paired", "device-named",
    "device-revoked", "held", "released", "signed-out", "admitted", "set-aside", "taken-in",
    "certificate-renewed", "put-back",
]  # fmt: skip
PAGE = 100


class Entry(Struct, frozen=True):
    """`who` did it on `device`, nobody where the server itself or its terminal did; `about` is the
    key of what was changed, `detail` its plain values."""

    id: int
    at: int
    who: str | None
    device: str | None
    what: What
    about: str | None
    detail: dict[str, str | int | bool | None]


class Entries(Struct, frozen=True):
    epoch: str
    entries: list[Entry]
    more: bool


async def note(
    tx: Write,
    now: int,
    what: What,
    *,
    who: str | None = None,
    device: str | None = None,
    about: str | None = None,
    **detail: Any,
) -> None:
    """Write an entry down as part of `tx`. No secret belongs into `detail`."""
    [row] = await tx.rows("SELECT COALESCE(MAX(id), 0) AS last FROM audit")
    text = msgspec.json.encode(detail).decode()
    await tx.many(
        "INSERT INTO audit (id, at, who, device, what, about, detail) VALUES (?, ?, ?, ?, ?, ?, ?)",
        [(row["last"] + 1, now, who, device, what, about, text)],
    )


@get("/api/audit", operation_id="audit", rule="lead",
     responses=raises(SignedOut, NotAllowed, BadRequest))  # fmt: skip
async def audit_route(
    db: NamedDependency[Database],
    before: Annotated[int | None, Parameter(ge=1, le=2**53, description="an entry's id")] = None,
    limit: Annotated[int, Parameter(ge=1, le=PAGE)] = PAGE,
) -> Entries:
    """What was changed among people and devices, newest first."""
    rows = await db.rows(
        "SELECT id, at, who, device, what, about, detail FROM audit WHERE id < ? "
        "ORDER BY id DESC LIMIT ?",
        before or 2**53, limit + 1,
    )  # fmt: skip
    entries = [
        msgspec.convert(row | {"detail": msgspec.json.decode(row["detail"])}, Entry) for row in rows
    ]
    return Entries(db.epoch, entries[:limit], len(entries) > limit)


routes = [audit_route]
