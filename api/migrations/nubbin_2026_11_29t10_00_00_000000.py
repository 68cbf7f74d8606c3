"""Labels in full: how codes were printed, where each sheet began, and which codes are void."""

from api.migrations.run_sql import run_sql

ID = "2026-11-29T10:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "prints and voids of labels"

LABELS = """
ALTER TABLE label_code ADD COLUMN place INTEGER;
ALTER TABLE label_code ADD COLUMN said VARCHAR(80);
CREATE TABLE label_print (
  id VARCHAR(32) PRIMARY KEY, at BIGINT NOT NULL, staff VARCHAR(64) NOT NULL,
  sheet VARCHAR(64) NOT NULL, words VARCHAR(8) NOT NULL, size_hmm INTEGER, printer VARCHAR(64));
CREATE TABLE label_sheet (
  id VARCHAR(32) PRIMARY KEY, batch VARCHAR(32) NOT NULL, at BIGINT NOT NULL,
  staff VARCHAR(64) NOT NULL, sheet VARCHAR(64) NOT NULL, begins INTEGER NOT NULL,
  labels INTEGER NOT NULL);
CREATE INDEX label_sheet_batch ON label_sheet (batch);
CREATE INDEX label_sheet_sheet ON label_sheet (sheet);
CREATE TABLE label_void (
  code VARCHAR(8) PRIMARY KEY, seq BIGINT NOT NULL, at BIGINT NOT NULL,
  staff VARCHAR(64) NOT NULL, why VARCHAR(120) NOT NULL);
CREATE INDEX label_void_seq ON label_void (seq);
"""


async def forwards() -> None:
    """Add columns and tables; codes minted before have no place in a print."""
    await run_sql(LABELS)
