"""The lines of a table (CSV) that another program wrote; what is wrong is named by its line. Pure.

Commas, semicolons or tabs part the cells, whichever the first line has most of; quotes, a byte
order mark, any line ends, blank lines and empty cells at a line's end are taken as they come.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

from api.healing.errors import RowsError

# Programs that know no empty whole number write 21 as 21.0.
_WHOLE = re.compile(r"0*([0-9]{1,10})(?:\.0*)?")
_SHOWN = 30


@dataclass(frozen=True)
class Line:
    """One line: the file's line on which it begins, and its cells by column, names in lower case.

    Each refusal is a RowsError that names the line, the column and the cell.
    """

    number: int
    cells: dict[str, str]

    def text(self, column: str) -> str:
        """The cell without the spaces around it; '' where it or its column is missing."""
        return self.cells.get(column, "")

    def whole(self, column: str, least: int, most: int, what: str = "number") -> int:
        """The cell as a whole number within the limits; RowsError for anything else."""
        text, needed = self.text(column), f"whole {what} from {least} to {most}"
        if not text:
            raise self.wrong(f"'{column}' is empty, where a {needed} is needed.")
        found = _WHOLE.fullmatch(text)
        if found is None or not least <= int(found[1]) <= most:
            raise self.wrong(f"'{column}' is '{short(text)}', which is no {needed}.")
        return int(found[1])

    def wrong(self, words: str) -> RowsError:
        """The refusal of this line."""
        return wrong(f"Line {self.number}: {words}")


def read_lines(content: bytes, needed: tuple[str, ...]) -> tuple[list[str], Iterator[Line]]:
    """(columns as they are written, the lines below them). RowsError for what is no such table,
    while the lines are taken too."""
    records = _records(_text(content))
    _, header = next(records, (0, []))
    names = [cell.casefold() for cell in header]
    _check_header(names, needed)
    return header, (Line(number, _by_column(number, names, cells)) for number, cells in records)


def wrong(words: str) -> RowsError:
    """A refusal of the whole file."""
    return RowsError(f"{words} Nothing was worked out.")


def short(text: str) -> str:
    """A cell, cut off where it would hide the sentence that it is quoted in."""
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def _text(content: bytes) -> str:
    """UTF-8 with or without a byte order mark."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        number = content[: error.start].count(b"\n") + 1
        raise wrong(f"Line {number}: not written in UTF-8. Save the file as CSV UTF-8.") from error
    if "\0" in text:
        number = text[: text.index("\0")].count("\n") + 1
        raise wrong(f"Line {number}: a zero byte. This is no text file, or not one in UTF-8.")
    return text


def _records(text: str) -> Iterator[tuple[int, list[str]]]:
    """(line on which it begins, cells) of each line that is not blank."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    mark = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    begins = 1
    try:
        for raw in reader:
            cells = [cell.strip() for cell in raw]
            if any(cells):
                yield begins, cells
            begins = reader.line_num + 1
    except csv.Error as error:
        raise wrong(f"Line {begins}: its quotes or cells cannot be read ({error}).") from error


def _check_header(names: list[str], needed: tuple[str, ...]) -> None:
    if not names:
        raise wrong("The file is empty.")
    missing = [f"'{name}'" for name in needed if name not in names]
    if missing:
        columns = "column" if len(missing) == 1 else "columns"
        raise wrong(
            f"The first line must name the {columns} {' and '.join(missing)}, "
            f"but reads '{short(','.join(names))}'."
        )
    twice = next((name for name in names if name and names.count(name) > 1), None)
    if twice is not None:
        raise wrong(f"The first line names the column '{short(twice)}' twice.")


def _by_column(number: int, names: list[str], cells: list[str]) -> dict[str, str]:
    if len(cells) < len(names) or any(cells[len(names) :]):
        raise wrong(f"Line {number}: {len(cells)} cells, but the first line has {len(names)}.")
    return dict(zip(names, cells, strict=False))
