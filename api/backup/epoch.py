"""A database's epoch: by it phones tell that a server was put back, and send again."""

import uuid

from api.database import Database


async def new_epoch(db: Database) -> str:
    """Give the database a name it never had. Servers that run on it must be started again."""
    epoch = uuid.uuid4().hex
    async with db.write() as tx:
        await tx.rows("UPDATE counter SET epoch = ? WHERE id = 1 RETURNING epoch", epoch)
    db.epoch = epoch
    return epoch
