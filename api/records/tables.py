"""Tables of the log. Times are UTC milliseconds; `record` is the canonical JSON that was sent."""

from piccolo.columns import BigInt, Integer, Text, Varchar
from piccolo.table import Table


class Counter(Table, tablename="counter"):
    """One row: the last `seq` given out, the database's epoch, the version of the states' fold."""

    id = Integer(primary_key=True)
    seq = BigInt()
    epoch = Varchar(length=32)
    fold = Integer(null=True, default=None)


class Log(Table, tablename="log"):
    """The truth: every record once, in commit order. `piece` is the piece whose fold it enters."""

    id = Varchar(length=36, primary_key=True)
    seq = BigInt(unique=True)
    kind = Varchar(length=32)
    subject = Varchar(length=64, index=True)
    piece = Varchar(length=36, null=True, default=None, index=True)
    staff = Varchar(length=64)
    device = Varchar(length=64, index=True)
    device_seq = BigInt()
    at = BigInt()
    received = BigInt()
    digest = Varchar(length=64)
    record = Text()


class Held(Table, tablename="held"):
    """Records that name something not yet known: durable, and given a `seq` when it arrives."""

    id = Varchar(length=36, primary_key=True)
    waits_for = Varchar(length=80, index=True)
    device = Varchar(length=64, index=True)
    device_seq = BigInt()
    at = BigInt()
    received = BigInt()
    digest = Varchar(length=64)
    record = Text()


class Refused(Table, tablename="refused"):
    """What could not be taken at all, as it came, with the problem that was answered."""

    digest = Varchar(length=64, primary_key=True)
    record_id = Varchar(length=64, null=True, default=None)
    device = Varchar(length=64, index=True)
    device_seq = BigInt(null=True, default=None)
    received = BigInt()
    problem = Text()
    record = Text()


class Quarantine(Table, tablename="quarantine"):
    """Sound records whose author or device was not entitled: kept until a lead decides.

    `sender` is the device that sent them, `fate` empty, 'admitted' or 'set-aside'.
    """

    digest = Varchar(length=64, primary_key=True)
    record_id = Varchar(length=36, index=True)
    device = Varchar(length=64, index=True)
    staff = Varchar(length=64)
    sender = Varchar(length=64)
    why = Varchar(length=32)
    kind = Varchar(length=32)
    device_seq = BigInt()
    at = BigInt()
    received = BigInt()
    fate = Varchar(length=16, null=True, default=None)
    decided_by = Varchar(length=64, null=True, default=None)
    decided_at = BigInt(null=True, default=None)
    record = Text()


class DeviceClock(Table, tablename="device_clock"):
    """What is known of a device's clock and of the gapless run of its records."""

    device = Varchar(length=64, primary_key=True)
    skew = BigInt()
    gapless = BigInt()
    highest = BigInt()
