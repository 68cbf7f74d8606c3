"""People and devices. They are no part of the log: only keys and hashes of secrets stand here.

Times are UTC milliseconds. A token itself is never stored, only its SHA-256 in hexadecimal.
"""

from piccolo.columns import BigInt, Boolean, ForeignKey, OnDelete, OnUpdate, Varchar
from piccolo.table import Table


class Staff(Table, tablename="staff"):
    """A person. `role` is owner, lead or keeper; one who has left keeps the row, signed out."""

    id = Varchar(length=64, primary_key=True)
    name = Varchar(length=120)
    role = Varchar(length=16)
    made_at = BigInt()
    left_at = BigInt(null=True, default=None)


class Device(Table, tablename="device"):
    """One phone or browser. A phone that has lost its storage is a new device."""

    id = Varchar(length=64, primary_key=True)
    name = Varchar(length=120)
    made_at = BigInt()
    removed_at = BigInt(null=True, default=None)


class Link(Table, tablename="link"):
    """A sign-in link for one person: single use, unless `reusable` while a demo runs."""

    digest = Varchar(length=64, primary_key=True)
    staff = ForeignKey(Staff, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False)
    made_at = BigInt()
    expires_at = BigInt()
    used_at = BigInt(null=True, default=None)
    reusable = Boolean(default=False)


class Session(Table, tablename="session"):
    """One person on one device, named by the hash of the cookie's token.

    An ended session opens nothing, but still proves which device the cookie was given to.
    """

    digest = Varchar(length=64, primary_key=True)
    staff = ForeignKey(Staff, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False)
    device = ForeignKey(
        Device, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False
    )
    made_at = BigInt()
    seen_at = BigInt()
    ended_at = BigInt(null=True, default=None)
