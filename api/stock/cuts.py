"""Cuts: which mother was cut, how and when. A piece's clock starts at its cut, not its gluing."""

from collections import defaultdict
from collections.abc import Iterable

from api.database import Row, Write
from api.records import kinds as k
from api.records.batch import Stored
from api.stock.lists import retractions

CutRow = tuple[str, str, str, str, str, int, bool, str | None, str | None, str | None]
"""id, record, mother, sitting, method, at, retracted, blade, operator, trial"""


def cut_row(cut: str, rows: Iterable[Row], retracted: set[str]) -> CutRow | None:
    """A cut from its `cut` records: the earliest that stands, else the earliest, marked retracted.

    A retracted cut keeps its row, since pieces that were glued from it still name it.
    """
    found = sorted((row["id"] in retracted, row["at"], row["id"], row["record"]) for row in rows)
    for gone, at, key, text in found:
        record = k.read_stored(text)
        if isinstance(record, k.Cut):
            body = record.body
            return (cut, key, body.mother, body.sitting, body.method, at, gone,
                    body.blade, body.operator, body.trial)  # fmt: skip
    return None


async def project_cuts(tx: Write, stored: list[Stored]) -> None:
    """Work out again every cut that the stored records make or take back."""
    touched = {i.parsed.subject.id for i in stored if isinstance(i.parsed.record, k.Cut)}
    gone = [i.parsed.subject.id for i in stored if i.parsed.kind == "retract"]
    rows = await tx.rows_in("SELECT subject FROM log WHERE id IN (?) AND kind = 'cut'", gone)
    touched |= {row["subject"] for row in rows}
    if not touched:
        return
    rows = await tx.rows_in(
        "SELECT id, subject, at, record FROM log WHERE subject IN (?) AND kind = 'cut'", touched
    )
    await _save(tx, rows)


async def cuts_anew(tx: Write) -> None:
    """Work out every cut again."""
    await _save(tx, await tx.rows("SELECT id, subject, at, record FROM log WHERE kind = 'cut'"))


async def _save(tx: Write, rows: list[Row]) -> None:
    """Write the cuts that these rows of the log tell of, all of each one's rows among them."""
    retracted = await retractions(tx, (row["id"] for row in rows))
    await tx.many(UPSERT, cut_rows(rows, retracted))


def cut_rows(rows: Iterable[Row], retracted: set[str]) -> list[CutRow]:
    """Cuts from rows of the log (id, subject, at, record) of kind `cut`."""
    by_cut: dict[str, list[Row]] = defaultdict(list)
    for row in rows:
        by_cut[row["subject"]].append(row)
    made = (cut_row(cut, found, retracted) for cut, found in by_cut.items())
    return [row for row in made if row is not None]


UPSERT = (
    "INSERT INTO cut (id, record, mother, sitting, method, at, retracted, blade, operator, trial) "
    "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (id) DO UPDATE SET "
    "record = excluded.record, mother = excluded.mother, sitting = excluded.sitting, "
    "method = excluded.method, at = excluded.at, retracted = excluded.retracted, "
    "blade = excluded.blade, operator = excluded.operator, trial = excluded.trial"
)
