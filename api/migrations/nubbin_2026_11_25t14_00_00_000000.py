"""People and devices in full: PINs, who holds a shared phone, quarantine, and what was changed."""

from api.migrations.run_sql import run_sql

ID = "2026-11-25T14:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "holders, PINs, quarantine, audit"

PEOPLE = """
ALTER TABLE staff ADD COLUMN pin VARCHAR(200);
ALTER TABLE staff ADD COLUMN password VARCHAR(200);
ALTER TABLE device ADD COLUMN shared BOOLEAN;
ALTER TABLE link ADD COLUMN shared BOOLEAN;
ALTER TABLE session ADD COLUMN holder VARCHAR(64);
CREATE TABLE holding (
  id VARCHAR(130) PRIMARY KEY, device VARCHAR(64) NOT NULL, staff VARCHAR(64) NOT NULL,
  since BIGINT NOT NULL);
CREATE INDEX holding_device ON holding (device);
INSERT INTO holding (id, device, staff, since)
  SELECT device || '|' || staff, device, staff, MIN(made_at) FROM session GROUP BY device, staff;
CREATE TABLE attempt (
  id VARCHAR(130) PRIMARY KEY, failures INTEGER NOT NULL, until BIGINT NOT NULL);
CREATE TABLE audit (
  id BIGINT PRIMARY KEY, at BIGINT NOT NULL, who VARCHAR(64), device VARCHAR(64),
  what VARCHAR(32) NOT NULL, about VARCHAR(130), detail TEXT NOT NULL);
"""

QUARANTINE = """
CREATE TABLE quarantine (
  digest VARCHAR(64) PRIMARY KEY, record_id VARCHAR(36) NOT NULL, device VARCHAR(64) NOT NULL,
  staff VARCHAR(64) NOT NULL, sender VARCHAR(64) NOT NULL, why VARCHAR(32) NOT NULL,
  kind VARCHAR(32) NOT NULL, device_seq BIGINT NOT NULL, at BIGINT NOT NULL,
  received BIGINT NOT NULL, fate VARCHAR(16), decided_by VARCHAR(64), decided_at BIGINT,
  record TEXT NOT NULL);
CREATE INDEX quarantine_device ON quarantine (device, device_seq);
CREATE INDEX quarantine_record_id ON quarantine (record_id);
"""


async def forwards() -> None:
    """Add columns and tables; who is known to have held a device follows from its sessions."""
    await run_sql(PEOPLE, QUARANTINE)
