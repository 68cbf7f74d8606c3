"""Printers: entries of list 'printer', one for each printer and tray that labels come out of.

`dpi` is a whole number of dots an inch. What was measured on a calibration page is kept as it was
measured, in hundredths of a millimetre, with the page it was printed on: `page`, `cross_x_hmm`,
`cross_y_hmm`, `ruler_x_hmm`, `ruler_y_hmm`. The correction is worked out at each print, and holds
for that paper only: another size lies in the tray in another place.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeGuard

import msgspec

import labels
from api.database import Rows
from api.problems import Unprintable
from api.records.fields import FieldValue

LIST = "printer"
MEASURED = ("cross_x_hmm", "cross_y_hmm", "ruler_x_hmm", "ruler_y_hmm")
_MOST = 10**6
"""Ten metres, and more dots an inch than any printer has: what is larger was never measured."""


@dataclass(frozen=True)
class Printer:
    name: str
    dpi: int
    page: str | None = None
    adjust: labels.Adjustment | None = None

    def for_page(self, page: str) -> labels.Adjustment | None:
        """The correction where it was measured on this paper."""
        return self.adjust if page == self.page else None


async def find_printer(db: Rows, wanted: str | None) -> Printer | None:
    """A printer by its key; None where none was named. Raises Unprintable."""
    if wanted is None:
        return None
    rows = await db.rows('SELECT fields FROM item WHERE id = ? AND "list" = ?', wanted, LIST)
    if not rows:
        raise Unprintable(
            f"No printer '{wanted[:64]}' is known to the server. Send what waits on the phone, or "
            "choose another."
        )
    return read_printer(wanted, msgspec.json.decode(rows[0]["fields"]))


def read_printer(key: str, fields: Mapping[str, FieldValue]) -> Printer:
    """An entry's fields. Raises Unprintable where they cannot be: what was measured is off by more
    than a printer is, or the dots an inch are none."""
    given, dpi, page = fields.get("name"), fields.get("dpi"), fields.get("page")
    name = given if isinstance(given, str) and given else key
    if not _is_number(dpi):
        raise Unprintable(f"{name}: its dots an inch are not known. Set them under Printers.")
    measured = [fields.get(field) for field in MEASURED]
    if any(value is not None and not _is_number(value) for value in measured):
        raise Unprintable(f"{name}: what was measured is no number. Measure it under Printers.")
    try:
        labels.verdict(20, dpi)
        if None not in measured and isinstance(page, str):
            adjust = labels.adjustment(*(value / 100 for value in measured if _is_number(value)))
            return Printer(name, dpi, page, adjust)
    except labels.LabelError as error:
        raise Unprintable(f"{name}: {error}") from error
    return Printer(name, dpi)


def _is_number(value: FieldValue) -> TypeGuard[int]:
    return isinstance(value, int) and not isinstance(value, bool) and abs(value) <= _MOST
