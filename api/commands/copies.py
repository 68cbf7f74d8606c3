"""Commands about copies of the farm: make one, put one back, and tell phones of it."""

import time
from pathlib import Path

from api import serving
from api.backup.epoch import new_epoch as give_new_epoch
from api.backup.make import make_backup
from api.commands.opened import check_farm, make_folder, opened
from api.settings import Settings
from api.start_errors import NothingDone

POSTGRES = (
    "This farm's records are in PostgreSQL. Copy that database with its own tools (pg_dump), and "
    "the folder 'photos' beside. After putting a copy back, run: nubbin new-epoch"
)


async def backup(settings: Settings, out: Path) -> int:
    """Write the farm to a file, while it is served or not."""
    _only_sqlite(settings)
    check_farm(settings)
    made = make_backup(settings.data, out)
    print(f"{_told(made.rows['log'], len(made.photos))} are in {out}")
    print("Keep it on another disk than the farm's. Certificates and their keys are not in it.")
    return 0


async def restore(settings: Settings, file: Path, *, replace: bool) -> int:
    """Put a backup back. Phones then send again what they hold."""
    # Imported here: it tries what it put back in the whole app, which the others need not load.
    from api.backup.put_back import put_back

    _only_sqlite(settings)
    make_folder(settings.data)
    serving.check_folder(settings.data)
    with serving.only_server(settings):
        found = await put_back(file, settings.data, replace=replace)
    manifest = found.manifest
    at = time.strftime("%Y-%m-%d %H:%M", time.gmtime(manifest.made_at / 1000))
    count = _told(manifest.rows["log"], len(manifest.photos))
    print(f"{count} are back in {settings.data}, as they were on {at} UTC.")
    if found.aside:
        print(f"What was there before is kept in {found.aside}")
    print(_who_is_in(found.still_out))
    if not found.has_owner:
        print("No owner is left in this copy. `nubbin link` makes one, and prints a link for them.")
    print("Start the server. Each phone sends by itself what it has recorded since.")
    return 0


async def new_epoch(settings: Settings) -> int:
    """Let phones know that the database was put back from a copy."""
    with serving.only_server(settings):
        async with opened(settings) as db:
            await give_new_epoch(db)
    print("The database has a new epoch. Start every server of this farm again: each phone then")
    print("sends by itself what it has recorded since the copy was made.")
    return 0


def _only_sqlite(settings: Settings) -> None:
    if not settings.is_sqlite:
        raise NothingDone(POSTGRES)


def _who_is_in(still_out: int | None) -> str:
    begin = "People, phones, rights and PINs are as they were then."
    if still_out is None:
        return (
            f"{begin} Who was signed out for good since can sign in again: look through People and "
            "Phones under Setup."
        )
    return f"{begin} Signed out for good since, and still so: {still_out} people and phones."


def _told(records: int, photos: int) -> str:
    return f"{records} records and {photos} photo{'' if photos == 1 else 's'}"
