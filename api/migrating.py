"""Bringing a database's tables to this version's form."""

import contextlib
import io
from typing import Any

from piccolo.apps.migrations.commands.forwards import ForwardsMigrationManager

from api.piccolo_app import APP_CONFIG


async def migrate() -> None:
    """Run what has not been run yet, inside the transaction that the caller holds open."""
    manager = _QuietMigrations(app_name=APP_CONFIG.app_name)
    await manager.create_migration_table()
    await manager.run_migrations(APP_CONFIG)


class _QuietMigrations(ForwardsMigrationManager):
    """Piccolo's own forward migrations without its chatter on standard output."""

    async def run_migrations(self, app_config: Any) -> Any:
        with contextlib.redirect_stdout(io.StringIO()):
            return await super().run_migrations(app_config)
