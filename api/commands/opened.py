"""The data folder, its database and files to write, as commands need them."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from api import serving
from api.database import Database, open_database
from api.settings import Settings
from api.start_errors import NoDataFolder, NothingDone


@asynccontextmanager
async def opened(settings: Settings) -> AsyncIterator[Database]:
    """An existing database: a command must not make an empty farm where a path was mistyped."""
    check_farm(settings)
    db = await open_database(settings.target)
    try:
        yield db
    finally:
        await db.close()


def check_farm(settings: Settings) -> None:
    """Raises NoDataFolder unless there is a farm already."""
    serving.check_folder(settings.data)
    serving.check_whole(settings)
    if isinstance(settings.target, Path) and not settings.target.exists():
        raise NoDataFolder(
            f"The folder {settings.data} holds no farm. Give the right one with --data, "
            f"or make a farm there with: nubbin init --data {settings.data}"
        )


def make_folder(data: Path) -> None:
    """Make the data folder if there is none. Raises NoDataFolder."""
    try:
        data.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NoDataFolder(
            f"The data folder {data} cannot be made ({error.strerror}). Choose another with --data."
        ) from error


def write(path: Path, content: bytes) -> None:
    """Raises NothingDone where that cannot be."""
    try:
        path.write_bytes(content)
    except OSError as error:
        raise NothingDone(f"{path} cannot be written: {error.strerror}.") from error


def replace(part: Path, out: Path) -> None:
    """Give a finished file its name. Raises NothingDone."""
    try:
        part.replace(out)
    except OSError as error:
        raise NothingDone(f"{out} cannot be written: {error.strerror}.") from error
