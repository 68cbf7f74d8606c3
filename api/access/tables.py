"""People and devices. They are no part of the log: only keys and hashes of secrets stand here.

Times are UTC milliseconds. A token itself is never stored, only its SHA-256 in hexadecimal; a PIN
or a password only as its argon2id hash.
"""

from piccolo.columns import (
    BigInt,
    Boolean,
    ForeignKey,
    Integer,
    OnDelete,
    OnUpdate,
    Text,
    Varchar,
)
from piccolo.table import Table


class Staff(Table, tablename="staff"):
    """A person. `role` is owner, lead or keeper; one who has left keeps the row, signed out."""

    id = Varchar(length=64, primary_key=True)
    name = Varchar(length=120)
    role = Varchar(length=16)
    made_at = BigInt()
    left_at = BigInt(null=True, default=None)
    pin = Varchar(length=200, null=True, default=None)
    password = Varchar(length=200, null=True, default=None)


class Device(Table, tablename="device"):
    """One phone or browser. A phone that has lost its storage is a new device.

    A shared one is held now by this person and now by that; any other is one person's own.
    """

    id = Varchar(length=64, primary_key=True)
    name = Varchar(length=120)
    made_at = BigInt()
    removed_at = BigInt(null=True, default=None)
    shared = Boolean(null=True, default=None)


class Link(Table, tablename="link"):
    """A link or pairing code: single use, unless `reusable` while a demo runs.

    `staff` is whom it signs in; where it is `shared`, who made it: the phone is then anybody's.
    """

    digest = Varchar(length=64, primary_key=True)
    staff = ForeignKey(Staff, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False)
    made_at = BigInt()
    expires_at = BigInt()
    used_at = BigInt(null=True, default=None)
    reusable = Boolean(default=False)
    shared = Boolean(null=True, default=None)


class Session(Table, tablename="session"):
    """A device's way in, named by the hash of the cookie's token.

    `staff` is the person of an own device. On a shared one it is who paired it, and `holder` is
    who holds it now, if anybody does. An ended session opens nothing, but still proves which
    device the cookie was given to.
    """

    digest = Varchar(length=64, primary_key=True)
    staff = ForeignKey(Staff, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False)
    device = ForeignKey(
        Device, on_delete=OnDelete.restrict, on_update=OnUpdate.restrict, null=False
    )
    made_at = BigInt()
    seen_at = BigInt()
    ended_at = BigInt(null=True, default=None)
    holder = Varchar(length=64, null=True, default=None)


class Holding(Table, tablename="holding"):
    """That a person has held a device: records of theirs made on it are believed."""

    id = Varchar(length=130, primary_key=True)
    device = Varchar(length=64, index=True)
    staff = Varchar(length=64)
    since = BigInt()


class Attempt(Table, tablename="attempt"):
    """Wrong PINs or passwords in a row, by what they were tried on, and until when to wait: the
    last try's own time where there is nothing to wait for."""

    id = Varchar(length=130, primary_key=True)
    failures = Integer()
    until = BigInt()


class AuditEntry(Table, tablename="audit"):
    """What was changed among people and devices, by whom and when. Nothing is ever taken out."""

    id = BigInt(primary_key=True)
    at = BigInt()
    who = Varchar(length=64, null=True, default=None)
    device = Varchar(length=64, null=True, default=None)
    what = Varchar(length=32)
    about = Varchar(length=130, null=True, default=None)
    detail = Text()
