"""Which version of the fold the stored states were made by."""

from api.migrations.run_sql import run_sql

ID = "2026-11-29T11:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "the fold's version"

FOLD = "ALTER TABLE counter ADD COLUMN fold INTEGER;"


async def forwards() -> None:
    """Add the column; NULL until the states have been folded by a version that is counted."""
    await run_sql(FOLD)
