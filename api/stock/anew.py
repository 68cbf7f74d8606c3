"""States of an earlier version's fold, folded again when the database is opened.

The fold may come to say more of the same records, such as a flag that it had no word for. What
stands in the tables was worked out as the records came, so without this a replay would find
differences, and a person would never be told of what was recorded before.
"""

from api.database import CHUNK, Write
from api.stock.cuts import cuts_anew
from api.stock.lists import facility
from api.stock.projection import fold_rows, save_states

FOLD = 3
"""To be raised with every change of what `fold` makes of records that there may be already.

2: cuts of a mother that had not begun, was lost or had left are flagged.
3: pieces have their facts in whole numbers, cuts their blade, operator and trial.
"""


async def fold_anew(tx: Write) -> None:
    """Fold every piece again, once for each version of the fold; part by part, to spare memory."""
    [known] = await tx.rows("SELECT seq, fold FROM counter WHERE id = 1")
    if known["fold"] == FOLD:
        return
    await cuts_anew(tx)
    where = (await facility(tx)).zone
    pieces = await tx.rows("SELECT id, stage, reopened FROM piece ORDER BY id")
    for start in range(0, len(pieces), CHUNK):
        part = {row["id"]: row for row in pieces[start : start + CHUNK]}
        rows = await tx.rows_in(
            "SELECT piece, kind, subject, at, record FROM log WHERE piece IN (?)", part
        )
        await save_states(tx, fold_rows(part, rows, where), part, known["seq"])
    await tx.rows("UPDATE counter SET fold = ? WHERE id = 1 RETURNING fold", FOLD)
