"""Commands about the farm: make it, bring it up to date, work it out again, let people in."""

from api import serving
from api.access import links, people
from api.access.tables import Staff
from api.commands.opened import make_folder, opened
from api.database import Database, open_database
from api.https.site import app_address
from api.settings import Settings
from api.start_errors import NothingDone
from api.stock import replay as stock_replay
from api.stock.first_lists import write_first_lists


async def init(settings: Settings) -> int:
    """Make the data folder and the database, and a first link for the owner."""
    make_folder(settings.data)
    serving.check_folder(settings.data)
    serving.check_whole(settings)
    db = await open_database(settings.target)
    try:
        owner = await links.owner_of(db)
        await write_first_lists(db, owner)
        print(f"The farm is ready. Start the server with: nubbin serve --data {settings.data}")
        await _print_link(db, settings, owner)
    finally:
        await db.close()
    return 0


async def migrate(settings: Settings) -> int:
    """Bring the database to the newest form: opening it does."""
    async with opened(settings):
        print("The database has this version's form.")
    return 0


async def replay(settings: Settings) -> int:
    """Rebuild the stock from the log; 1 if a live table differed from it."""
    async with opened(settings) as db:
        report = await stock_replay.replay(db)
    print(
        f"{report.records} records, {report.pieces} pieces, {len(report.differences)} differences"
    )
    for line in report.differences:
        print(line)
    return 1 if report.differences else 0


async def link(settings: Settings, staff: str | None) -> int:
    """Print a new sign-in link for a person, the owner if none is named."""
    async with opened(settings) as db:
        if staff and not await Staff.exists().where(Staff.id == staff, Staff.left_at.is_null()):
            raise NothingDone(f"There is nobody with the key '{staff}' here. No link was made.")
        await _print_link(db, settings, staff or await links.owner_of(db))
    return 0


async def _print_link(db: Database, settings: Settings, staff: str) -> None:
    token = await links.make_link(db, staff)
    print("This link signs in one device, within a day, once the server runs:")
    print(links.sign_in_address(app_address(settings), token))


async def staff(settings: Settings) -> int:
    """Print who there is: key, role, name, and who has left."""
    async with opened(settings) as db:
        for one in await people.people(db):
            left = "" if one.left_at is None else "  (has left)"
            print(f"{one.id:24} {one.role:7} {one.name}{left}")
    return 0
