"""The table of photos: one row for each that began to arrive. Times are UTC milliseconds."""

from piccolo.columns import BigInt, Integer, Text, Varchar
from piccolo.table import Table


class Photo(Table, tablename="photo"):
    """`state` is arriving, kept or refused; `problem` is the JSON of why it was refused.

    sha256      of the bytes that the phone sends, as its record names them
    bytes       how many those are
    media       as the record says, and once kept what the content was found to be
    stored_sha  of the JPEG that was made again from them and is kept; width and height are its own
    """

    sha256 = Varchar(length=64, primary_key=True)
    media = Varchar(length=32)
    bytes = BigInt()
    state = Varchar(length=16)
    stored_sha = Varchar(length=64, null=True, default=None)
    width = Integer(null=True, default=None)
    height = Integer(null=True, default=None)
    arrived_at = BigInt(null=True, default=None)
    problem = Text(null=True, default=None)
