"""A table of pieces as other programs write it (CSV), as rows of the healing arithmetic. Pure.

    left,right,outcome,seen_alive,cut,group,count
    14,21,ready,,3,saw,
    0,7,lost,,3,saw,2
    28,,healing,35,4,saw,

Whole days since the cut; ready and lost lie in (left, right], so that an event on a known day d is
written d-1, d. Of a lost piece `left` is the day it was last seen alive at all; of one still
healing the last full look, and `seen_alive` the last day it was seen alive (`left` if not given).
Without `cut` all pieces of a group are of one cut, without `group` they are one group, without
`count` a line is one piece. Other columns are not used, and it is said which.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from api.healing.plain_lines import Line, read_lines, short, wrong
from api.healing.rows import MAX_DAY, Cause, IntervalRows

NEEDED = ("left", "right", "outcome")
OPTIONAL = ("seen_alive", "cut", "group", "count")
OUTCOMES = {"ready": Cause.READY, "lost": Cause.LOST, "healing": Cause.STILL}
ONE_GROUP = "All pieces"
MOST_OF_A_LINE = 1_000_000_000
"""Pieces on one line: far beyond any stock, far below where sums of whole numbers overflow."""


@dataclass(frozen=True)
class PlainGroup:
    """The lines of one group, in the order of the file; cuts are numbered as they first appear."""

    name: str
    rows: IntervalRows


@dataclass(frozen=True)
class PlainTable:
    """Groups as they first appear, and the columns that were not used."""

    groups: list[PlainGroup]
    not_used: list[str]


@dataclass
class _Columns:
    """One group while it is read."""

    left: list[int] = field(default_factory=list)
    right: list[int] = field(default_factory=list)
    cause: list[int] = field(default_factory=list)
    cut: list[int] = field(default_factory=list)
    count: list[int] = field(default_factory=list)
    cuts: dict[str, int] = field(default_factory=dict)


def read_table(content: bytes) -> PlainTable:
    """The groups of a file. RowsError, naming the first bad line, for anything not as above."""
    header, lines = read_lines(content, NEEDED)
    groups: dict[str, _Columns] = {}
    for line in lines:
        _add(groups.setdefault(_label(line, "group", ONE_GROUP), _Columns()), line)
    if not groups:
        raise wrong("The file has a first line with columns and no line below it.")
    known = {*NEEDED, *OPTIONAL, ""}
    not_used = [name for name in header if name.casefold() not in known]
    found = [
        PlainGroup(name, IntervalRows.of(one.left, one.right, one.cause, one.cut, one.count))
        for name, one in groups.items()
    ]
    return PlainTable(found, not_used)


def _add(columns: _Columns, line: Line) -> None:
    outcome = line.text("outcome")
    cause = OUTCOMES.get(outcome.casefold())
    if cause is None:
        raise line.wrong(f"'outcome' is '{short(outcome)}', not one of {', '.join(OUTCOMES)}.")
    left, right = _healing(line) if cause == Cause.STILL else _event(line)
    columns.left.append(left)
    columns.right.append(right)
    columns.cause.append(cause)
    columns.cut.append(columns.cuts.setdefault(_label(line, "cut", ""), len(columns.cuts)))
    columns.count.append(line.whole("count", 1, MOST_OF_A_LINE) if line.text("count") else 1)


def _label(line: Line, column: str, usual: str) -> str:
    """A cut's or group's name: where there is the column, every line must have one."""
    if column not in line.cells:
        return usual
    if not line.text(column):
        raise line.wrong(f"'{column}' is empty; give every line one, or leave the column out.")
    return line.text(column)


def _event(line: Line) -> tuple[int, int]:
    if line.text("seen_alive"):
        raise line.wrong(
            f"'seen_alive' is for pieces still healing, not for '{line.text('outcome')}'; leave it "
            "empty (of a lost piece 'left' is the day it was last seen alive)."
        )
    left, right = _day(line, "left"), _day(line, "right")
    if left >= right:
        raise line.wrong(
            f"'left' ({left}) is not before 'right' ({right}); an event on a known day d is "
            "written d - 1, d, and one on the day of the cut 0, 1."
        )
    return left, right


def _healing(line: Line) -> tuple[int, int]:
    if line.text("right"):
        raise line.wrong(
            f"'right' is '{short(line.text('right'))}', but the piece is still healing; "
            "leave it empty."
        )
    left = _day(line, "left")
    alive = _day(line, "seen_alive") if line.text("seen_alive") else left
    if alive < left:
        raise line.wrong(
            f"'seen_alive' ({alive}) is before 'left' ({left}), but whoever looked at it that day "
            "saw it alive."
        )
    return left, alive


def _day(line: Line, column: str) -> int:
    return line.whole(column, 0, MAX_DAY, "number of days")
