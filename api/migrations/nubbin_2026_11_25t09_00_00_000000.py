"""The first tables: the log, what it adds up to, people and devices, minted codes.

Plain SQL that SQLite and PostgreSQL both take. Migrations only ever add: a released file is
never changed, and new columns may be NULL.
"""

from api.migrations.run_sql import run_sql

ID = "2026-11-25T09:00:00:000000"
VERSION = "1.38.0"
DESCRIPTION = "first tables"

LOG = """
CREATE TABLE counter (id INTEGER PRIMARY KEY, seq BIGINT NOT NULL, epoch VARCHAR(32) NOT NULL);
CREATE TABLE log (
  id VARCHAR(36) PRIMARY KEY, seq BIGINT NOT NULL UNIQUE, kind VARCHAR(32) NOT NULL,
  subject VARCHAR(64) NOT NULL, piece VARCHAR(36), staff VARCHAR(64) NOT NULL,
  device VARCHAR(64) NOT NULL, device_seq BIGINT NOT NULL, at BIGINT NOT NULL,
  received BIGINT NOT NULL, digest VARCHAR(64) NOT NULL, record TEXT NOT NULL);
CREATE INDEX log_subject ON log (subject);
CREATE INDEX log_piece ON log (piece);
CREATE INDEX log_device ON log (device, device_seq);
CREATE TABLE held (
  id VARCHAR(36) PRIMARY KEY, waits_for VARCHAR(80) NOT NULL, device VARCHAR(64) NOT NULL,
  device_seq BIGINT NOT NULL, at BIGINT NOT NULL, received BIGINT NOT NULL,
  digest VARCHAR(64) NOT NULL, record TEXT NOT NULL);
CREATE INDEX held_waits_for ON held (waits_for);
CREATE INDEX held_device ON held (device, device_seq);
CREATE TABLE refused (
  digest VARCHAR(64) PRIMARY KEY, record_id VARCHAR(64), device VARCHAR(64) NOT NULL,
  device_seq BIGINT, received BIGINT NOT NULL, problem TEXT NOT NULL, record TEXT NOT NULL);
CREATE INDEX refused_device ON refused (device, device_seq);
CREATE TABLE device_clock (
  device VARCHAR(64) PRIMARY KEY, skew BIGINT NOT NULL, gapless BIGINT NOT NULL,
  highest BIGINT NOT NULL);
"""

STOCK = """
CREATE TABLE piece (
  id VARCHAR(36) PRIMARY KEY, seq BIGINT NOT NULL, stage VARCHAR(16) NOT NULL, cut VARCHAR(36),
  tray VARCHAR(64), closed_at BIGINT, reopened BOOLEAN NOT NULL DEFAULT FALSE,
  state TEXT NOT NULL);
CREATE INDEX piece_seq ON piece (seq);
CREATE INDEX piece_cut ON piece (cut);
CREATE INDEX piece_tray ON piece (tray);
CREATE TABLE cut (
  id VARCHAR(36) PRIMARY KEY, record VARCHAR(36) NOT NULL, mother VARCHAR(36) NOT NULL,
  sitting VARCHAR(36) NOT NULL, method VARCHAR(64) NOT NULL, at BIGINT NOT NULL,
  retracted BOOLEAN NOT NULL DEFAULT FALSE);
CREATE INDEX cut_mother ON cut (mother);
CREATE TABLE claim (
  id VARCHAR(48) PRIMARY KEY, code VARCHAR(8) NOT NULL, piece VARCHAR(36) NOT NULL,
  at BIGINT NOT NULL, record VARCHAR(36) NOT NULL);
CREATE INDEX claim_code ON claim (code);
CREATE INDEX claim_piece ON claim (piece);
CREATE TABLE item (
  id VARCHAR(64) PRIMARY KEY, "list" VARCHAR(16) NOT NULL, fields TEXT NOT NULL,
  retired BOOLEAN NOT NULL DEFAULT FALSE, tank VARCHAR(64));
"""

PEOPLE = """
CREATE TABLE staff (
  id VARCHAR(64) PRIMARY KEY, name VARCHAR(120) NOT NULL, role VARCHAR(16) NOT NULL,
  made_at BIGINT NOT NULL, left_at BIGINT);
CREATE TABLE device (
  id VARCHAR(64) PRIMARY KEY, name VARCHAR(120) NOT NULL, made_at BIGINT NOT NULL,
  removed_at BIGINT);
CREATE TABLE link (
  digest VARCHAR(64) PRIMARY KEY,
  staff VARCHAR(64) NOT NULL REFERENCES staff (id) ON DELETE RESTRICT ON UPDATE RESTRICT,
  made_at BIGINT NOT NULL, expires_at BIGINT NOT NULL, used_at BIGINT,
  reusable BOOLEAN NOT NULL DEFAULT FALSE);
CREATE TABLE session (
  digest VARCHAR(64) PRIMARY KEY,
  staff VARCHAR(64) NOT NULL REFERENCES staff (id) ON DELETE RESTRICT ON UPDATE RESTRICT,
  device VARCHAR(64) NOT NULL REFERENCES device (id) ON DELETE RESTRICT ON UPDATE RESTRICT,
  made_at BIGINT NOT NULL, seen_at BIGINT NOT NULL, ended_at BIGINT);
CREATE TABLE label_code (
  code VARCHAR(8) PRIMARY KEY, minted_at BIGINT NOT NULL, batch VARCHAR(32) NOT NULL,
  staff VARCHAR(64) NOT NULL);
CREATE INDEX label_code_batch ON label_code (batch);
"""


async def forwards() -> None:
    """Create everything, inside the transaction that the caller holds open."""
    await run_sql(LOG, STOCK, PEOPLE)
