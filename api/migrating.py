"""Bringing a database's tables to this version's form."""

import contextlib
import io
import uuid
from typing import TYPE_CHECKING, Any

from piccolo.apps.migrations.commands.forwards import ForwardsMigrationManager

from api.piccolo_app import APP_CONFIG

if TYPE_CHECKING:
    from api.database import Write

_MIGRATING = int.from_bytes(b"nubbin")
"""The number of PostgreSQL's advisory lock; any would do that no other program takes."""


async def migrate(tx: "Write") -> str:
    """Run what has not been run yet, inside the transaction given; return the database's epoch."""
    # Imported here: the stock is built on the database, which this brings up to date.
    from api.stock.anew import fold_anew

    await _one_at_a_time(tx)
    manager = _QuietMigrations(app_name=APP_CONFIG.app_name)
    await manager.create_migration_table()
    await manager.run_migrations(APP_CONFIG)
    epoch = await _epoch(tx)
    await fold_anew(tx)
    return epoch


async def _one_at_a_time(tx: "Write") -> None:
    """Two servers started at once on an empty PostgreSQL would both make its tables."""
    if not tx.sqlite:
        await tx.rows("SELECT pg_advisory_xact_lock(?)", _MIGRATING)


async def _epoch(tx: "Write") -> str:
    """This database's own name. A restored or replaced database must be given a new one."""
    rows = await tx.rows("SELECT epoch FROM counter WHERE id = 1")
    if rows:
        return str(rows[0]["epoch"])
    epoch = uuid.uuid4().hex
    await tx.many("INSERT INTO counter (id, seq, epoch) VALUES (1, 0, ?)", [(epoch,)])
    return epoch


class _QuietMigrations(ForwardsMigrationManager):
    """Piccolo's own forward migrations without its chatter on standard output."""

    async def run_migrations(self, app_config: Any) -> Any:
        with contextlib.redirect_stdout(io.StringIO()):
            return await super().run_migrations(app_config)
