"""Photos: what has arrived of them. A partial index finds the records that name one."""

from api.migrations.run_sql import run_sql

ID = "2026-11-25T15:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "photos"

PHOTOS = """
CREATE TABLE photo (
  sha256 VARCHAR(64) PRIMARY KEY, media VARCHAR(32) NOT NULL, bytes BIGINT NOT NULL,
  state VARCHAR(16) NOT NULL, stored_sha VARCHAR(64), width INTEGER, height INTEGER,
  arrived_at BIGINT, problem TEXT);
CREATE INDEX log_photo ON log (seq) WHERE kind = 'photo';
"""


async def forwards() -> None:
    """Create the table and the index, inside the transaction that the caller holds open."""
    await run_sql(PHOTOS)
