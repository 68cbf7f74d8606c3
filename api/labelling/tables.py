"""Codes that were minted. A row stays for good: a printed label may turn up years later.

Whether a code is bound is written nowhere here: that follows from the log (`claim`, and the codes
of trays and tanks), so that what was bound without a network counts as soon as it arrives.
"""

from piccolo.columns import BigInt, Integer, Varchar
from piccolo.table import Table


class LabelCode(Table, tablename="label_code"):
    """One minted code; `batch` names the print or the request it was minted for.

    `place` is its place in that print, `said` what is printed beside it.
    """

    code = Varchar(length=8, primary_key=True)
    minted_at = BigInt()
    batch = Varchar(length=32, index=True)
    staff = Varchar(length=64)
    place = Integer(null=True, default=None)
    said = Varchar(length=80, null=True, default=None)


class LabelPrint(Table, tablename="label_print"):
    """How the codes of a batch were asked for; batches from before this table have none."""

    id = Varchar(length=32, primary_key=True)
    at = BigInt()
    staff = Varchar(length=64)
    sheet = Varchar(length=64)
    words = Varchar(length=8)
    size_hmm = Integer(null=True, default=None)
    printer = Varchar(length=64, null=True, default=None)


class LabelSheet(Table, tablename="label_sheet"):
    """Each time labels of a batch were made into a file: where they began on which sheet."""

    id = Varchar(length=32, primary_key=True)
    batch = Varchar(length=32, index=True)
    at = BigInt()
    staff = Varchar(length=64)
    sheet = Varchar(length=64, index=True)
    begins = Integer()
    labels = Integer()


class LabelVoid(Table, tablename="label_void"):
    """A code that is to be put on nothing. `seq` counts voids: phones fetch only new ones."""

    code = Varchar(length=8, primary_key=True)
    seq = BigInt(index=True)
    at = BigInt()
    staff = Varchar(length=64)
    why = Varchar(length=120)
