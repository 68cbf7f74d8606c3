"""Labels of trays and tanks: the codes that lead to a list entry."""

from api.migrations.run_sql import run_sql

ID = "2026-11-29T09:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "codes of list entries"

CODES = "ALTER TABLE item ADD COLUMN codes TEXT;"


async def forwards() -> None:
    """Add the column; NULL until a label is bound."""
    await run_sql(CODES)
