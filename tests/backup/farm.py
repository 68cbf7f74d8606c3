"""A small farm with records and photo files, and archives made by hand."""

import asyncio
import hashlib
import json
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from api.database import Database, open_database
from tests.sync.phone import begin

PHOTOS = {"photos/ab/abcd.jpg": b"\xff\xd8" + bytes(range(256)) * 40, "photos/x1/y.small.jpg": b""}


def make_farm(data: Path, pieces: int = 3) -> None:
    """Records by the log's own door, photos as files, and one that is still arriving."""
    data.mkdir(exist_ok=True)

    async def make() -> None:
        db = await open_database(data / "nubbin.sqlite")
        await begin(db, pieces)
        await db.close()

    asyncio.run(make())
    for name, content in (PHOTOS | {"photos/arriving/cd.part": b"half"}).items():
        (data / name).parent.mkdir(parents=True, exist_ok=True)
        (data / name).write_bytes(content)


def with_database(path: Path, work: Any) -> Any:
    """Run `work` on a database that is opened for it."""

    async def run() -> Any:
        db: Database = await open_database(path)
        try:
            return await work(db)
        finally:
            await db.close()

    return asyncio.run(run())


def table(data: Path, sql: str) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(data / "nubbin.sqlite")) as connection:
        return connection.execute(sql).fetchall()


def epoch(data: Path) -> str:
    [(found,)] = table(data, "SELECT epoch FROM counter")
    return str(found)


def log(data: Path) -> list[tuple[Any, ...]]:
    return table(data, "SELECT * FROM log ORDER BY seq")


def files_in(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content; of a database, that it is there."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.startswith("nubbin.sqlite")
    }


def taken_apart(archive: Path) -> dict[str, bytes]:
    with ZipFile(archive) as opened:
        return {name: opened.read(name) for name in opened.namelist()}


def put_together(archive: Path, members: dict[str, bytes]) -> Path:
    with ZipFile(archive, "w", ZIP_DEFLATED) as made:
        for name, content in members.items():
            made.writestr(name, content)
    return archive


def manifest_of(members: dict[str, bytes]) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(members["manifest.json"])
    return found


def signed_again(members: dict[str, bytes], **changes: Any) -> dict[str, bytes]:
    """The members with a manifest that fits their database, and that says what `changes` say."""
    database = members["nubbin.sqlite"]
    manifest = manifest_of(members) | changes
    manifest["database"] |= {
        "sha256": hashlib.sha256(database).hexdigest(), "bytes": len(database),
    }  # fmt: skip
    return members | {"manifest.json": json.dumps(manifest).encode()}
