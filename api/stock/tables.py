"""Projection tables: what the log adds up to. `nubbin replay` rebuilds them from the log alone."""

from piccolo.columns import BigInt, Boolean, Integer, Text, Varchar
from piccolo.table import Table


class Piece(Table, tablename="piece"):
    """One row a piece; `state` is the JSON of its PieceState, `seq` its newest record's."""

    id = Varchar(length=36, primary_key=True)
    seq = BigInt(index=True)
    stage = Varchar(length=16)
    cut = Varchar(length=36, null=True, default=None, index=True)
    tray = Varchar(length=64, null=True, default=None, index=True)
    closed_at = BigInt(null=True, default=None)
    reopened = Boolean(default=False)
    state = Text()


class Cut(Table, tablename="cut"):
    """One row a cut: its mother and the day at the saw, from which every clock starts."""

    id = Varchar(length=36, primary_key=True)
    record = Varchar(length=36)
    mother = Varchar(length=36, index=True)
    sitting = Varchar(length=36)
    method = Varchar(length=64)
    at = BigInt()
    retracted = Boolean(default=False)
    blade = Varchar(length=64, null=True, default=None)
    operator = Varchar(length=120, null=True, default=None)
    trial = Varchar(length=64, null=True, default=None)


class Claim(Table, tablename="claim"):
    """A code a piece was given. Of several claims to one code the lowest (at, record) holds."""

    id = Varchar(length=48, primary_key=True)
    code = Varchar(length=8, index=True)
    piece = Varchar(length=36, index=True)
    at = BigInt()
    record = Varchar(length=36)


class Item(Table, tablename="item"):
    """A list entry: the merged fields of its `define` records, as JSON; `codes` are its labels."""

    id = Varchar(length=64, primary_key=True)
    list = Varchar(length=16)
    fields = Text()
    retired = Boolean(default=False)
    tank = Varchar(length=64, null=True, default=None)
    codes = Text(null=True, default=None)


class Word(Table, tablename="word"):
    """A text that rows of `fact` name by its number: a cut, a kind of piece, a tray."""

    id = Integer(primary_key=True)
    text = Text(unique=True)


class Fact(Table, tablename="fact"):
    """One row a glued piece: what the healing arithmetic reads of it (see `facts.py`)."""

    piece = Varchar(length=36, primary_key=True)
    facts = Text()
