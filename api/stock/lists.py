"""Lists: species, bases, methods, trays and settings, each entry the fold of its `define` records.

Later fields replace earlier ones, in order of (corrected time, record id). A tray's tank is told
by the newest `move` that is about the tray; the labels of a tray or tank by its `bind` records. An
entry is retired, never deleted.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping

import msgspec
from msgspec import Struct, field

from api.database import Row, Rows, Write
from api.records import kinds as k
from api.records.batch import Stored
from api.records.fields import FieldValue
from api.stock.state import Claim, add_claim

DEFAULT_ZONE = "UTC"
Claims = list[Claim]
"""Named out here: within an entry `list` is its own field."""


class ItemState(Struct):
    """One list entry. `fields` as defined; `tank` is where a tray stands, `codes` its labels."""

    id: str
    list: str = ""
    fields: dict[str, FieldValue] = field(default_factory=dict)
    retired: bool = False
    tank: str | None = None
    codes: Claims = field(default_factory=Claims)


class Facility(Struct, frozen=True):
    """The settings entry, with what stands in for fields that nobody has set."""

    name: str = "Unnamed facility"
    zone: str = DEFAULT_ZONE
    label_host: str | None = None
    wild_number: int = 0
    held_back_keeps: bool = False
    locale: str | None = None


def fold_item(item: str, entries: Iterable[tuple[int, k.AnyRecord]]) -> ItemState:
    """Fold an entry's records (define; move and bind of a tray), retracted ones left out."""
    state = ItemState(id=item)
    for at, record in sorted(entries, key=lambda e: (e[0], e[1].id)):
        if isinstance(record, k.Define):
            body = record.body
            state.list = body.list
            state.fields = {**state.fields, **body.fields}
            state.retired = state.retired if body.retired is None else body.retired
        elif isinstance(record, k.Move):
            state.tank = record.body.tank
        elif isinstance(record, k.Bind):
            add_claim(state.codes, record.body.code, at, record.id)
    return state


def item_row(state: ItemState) -> tuple[str, str, str, bool, str | None, str]:
    """The columns of a list entry."""
    fields = msgspec.json.encode(state.fields, order="sorted").decode()
    codes = msgspec.json.encode(state.codes).decode()
    return state.id, state.list, fields, state.retired, state.tank, codes


async def project_items(tx: Write, stored: list[Stored]) -> bool:
    """Fold again every entry that the stored records touch; whether there were any."""
    touched = {i.parsed.subject.id for i in stored if _about_item(i.parsed.record)}
    gone = [i.parsed.subject.id for i in stored if i.parsed.kind == "retract"]
    for row in await tx.rows_in("SELECT kind, subject, piece FROM log WHERE id IN (?)", gone):
        if is_about_item(row):
            touched.add(row["subject"])
    if not touched:
        return False
    rows = await tx.rows_in(
        "SELECT id, subject, at, record FROM log WHERE subject IN (?) "
        "AND kind IN ('define', 'move', 'bind')", touched,
    )  # fmt: skip
    retracted = await retractions(tx, (row["id"] for row in rows))
    states = fold_items(touched, rows, retracted)
    await tx.many(UPSERT, [item_row(state) for state in states.values()])
    return True


def is_about_item(row: Row) -> bool:
    """Whether a row of the log (kind, piece) enters a list entry's fold."""
    return row["kind"] == "define" or (row["kind"] in ("move", "bind") and row["piece"] is None)


async def retractions(tx: Write, records: Iterable[str]) -> set[str]:
    """Which of these records have been taken back."""
    rows = await tx.rows_in(
        "SELECT kind, subject, record FROM log WHERE subject IN (?) AND kind = 'retract'", records
    )
    return taken_back(rows)


def taken_back(rows: Iterable[Row]) -> set[str]:
    """The records that these rows of the log (kind, subject, record) take back.

    A retraction of a newer version is kept and passed on, and takes nothing back.
    """
    return {
        row["subject"] for row in rows
        if row["kind"] == "retract" and k.read_stored(row["record"]) is not None
    }  # fmt: skip


def fold_items(
    items: Iterable[str], rows: Iterable[Row], retracted: set[str]
) -> dict[str, ItemState]:
    """Fold entries from rows of the log (id, subject, at, record).

    An entry of which nothing is understood (newer versions only) is left out.
    """
    entries: dict[str, list[tuple[int, k.AnyRecord]]] = defaultdict(list)
    for row in rows:
        if (record := k.read_stored(row["record"])) is not None:
            kept = entries[row["subject"]]
            if row["id"] not in retracted:
                kept.append((row["at"], record))
    return {item: fold_item(item, entries[item]) for item in items if item in entries}


async def facility(db: Rows) -> Facility:
    """The facility's settings as they stand, within a write or outside."""
    rows = await db.rows("SELECT fields FROM item WHERE id = ?", "settings")
    return facility_of(msgspec.json.decode(rows[0]["fields"]) if rows else {})


def facility_of(fields: Mapping[str, FieldValue]) -> Facility:
    """The settings in the fields of their entry."""
    given = {name: fields[name] for name in Facility.__struct_fields__ if fields.get(name)}
    return msgspec.convert(given, Facility)


def _about_item(record: k.AnyRecord | None) -> bool:
    return isinstance(record, k.Define) or (
        isinstance(record, k.Move | k.Bind) and record.subject.kind != "piece"
    )


UPSERT = (
    'INSERT INTO item (id, "list", fields, retired, tank, codes) VALUES (?, ?, ?, ?, ?, ?) '
    'ON CONFLICT (id) DO UPDATE SET "list" = excluded."list", fields = excluded.fields, '
    "retired = excluded.retired, tank = excluded.tank, codes = excluded.codes"
)
