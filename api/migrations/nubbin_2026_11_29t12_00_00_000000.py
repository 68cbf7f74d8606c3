"""What the healing arithmetic reads of each piece, in whole numbers, and a cut's own facts."""

from api.migrations.run_sql import run_sql

ID = "2026-11-29T12:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "facts of pieces and cuts for the healing report"

CUT = """
ALTER TABLE cut ADD COLUMN blade VARCHAR(64);
ALTER TABLE cut ADD COLUMN operator VARCHAR(120);
ALTER TABLE cut ADD COLUMN trial VARCHAR(64);
"""
FACTS = """
CREATE TABLE word (
  id INTEGER PRIMARY KEY,
  text TEXT NOT NULL UNIQUE
);
CREATE TABLE fact (
  piece VARCHAR(36) PRIMARY KEY,
  facts TEXT NOT NULL
);
"""


async def forwards() -> None:
    """Add columns and tables; they are filled as the states are folded anew on opening."""
    await run_sql(CUT, FACTS)
