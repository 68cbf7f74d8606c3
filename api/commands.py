"""What each command of `nubbin` does. Each returns the exit code and raises what `main` says."""

import json
import tempfile
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager, nullcontext
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import labels
from api import serving
from api.access import links
from api.access.tables import Staff
from api.app import create_app, openapi_document
from api.database import Database, open_database
from api.labels_mint import BY_SERVER, SheetOrder, print_sheet
from api.settings import Settings
from api.start_errors import NoDataFolder, NothingDone
from api.stock import replay as stock_replay
from api.stock.first_lists import write_first_lists

DEFAULT_GEOMETRY = labels.DEFAULT.name
DEMO_FARM = "api.demo.farm"


async def serve(settings: Settings) -> int:
    """Serve the data folder until told to stop; the first start prints the owner's link."""
    serving.check_folder(settings.data)
    with serving.only_server(settings):
        db = await open_database(settings.target)
        try:
            owner = await links.owner_of(db)
            await write_first_lists(db, owner)
            await links.end_reusable_links(db)
            token = await links.make_link(db, owner) if await links.is_first_start(db) else None
            await _listen_and_run(settings, db, token, demo=False)
        finally:
            await db.close()
    return 0


async def demo(data: Path | None, port: int, *, fill: bool) -> int:
    """Serve an invented farm; without `data` it lies in a temporary folder and goes with it."""
    if data:
        _make_folder(data)
    with tempfile.TemporaryDirectory(prefix="nubbin-demo-") if not data else nullcontext(data) as f:
        settings = Settings(data=Path(f).absolute(), port=port)
        serving.check_folder(settings.data)
        with serving.only_server(settings):
            db = await open_database(settings.target)
            try:
                await _fill(db) if fill and not await _has_records(db) else None
                await links.end_reusable_links(db)
                token = await links.make_link(db, await links.owner_of(db), reusable=True)
                await _listen_and_run(settings, db, token, demo=True)
            finally:
                await db.close()
    return 0


async def init(settings: Settings) -> int:
    """Make the data folder and the database, and a first link for the owner."""
    _make_folder(settings.data)
    serving.check_folder(settings.data)
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
    async with _opened(settings):
        print("The database has this version's form.")
    return 0


async def replay(settings: Settings) -> int:
    """Rebuild the stock from the log; 1 if a live table differed from it."""
    async with _opened(settings) as db:
        report = await stock_replay.replay(db)
    print(
        f"{report.records} records, {report.pieces} pieces, {len(report.differences)} differences"
    )
    for line in report.differences:
        print(line)
    return 1 if report.differences else 0


async def link(settings: Settings, staff: str | None) -> int:
    """Print a new sign-in link for a person, the owner if none is named."""
    async with _opened(settings) as db:
        if staff and not await Staff.exists().where(Staff.id == staff, Staff.left_at.is_null()):
            raise NothingDone(f"There is nobody with the key '{staff}' here. No link was made.")
        await _print_link(db, settings, staff or await links.owner_of(db))
    return 0


async def print_labels(settings: Settings, order: SheetOrder, out: Path) -> int:
    """Mint codes and write the sheet. The file is tried first, so that no code is wasted."""
    part = out.with_name(f".{out.name}.part")
    async with _opened(settings) as db:
        _write(part, b"")
        try:
            pdf, first = await print_sheet(db, order, BY_SERVER)
            _write(part, pdf)
            _replace(part, out)
        finally:
            part.unlink(missing_ok=True)
    print(f"{order.count} labels, the first {labels.display(first)}, are in {out}")
    return 0


def openapi(settings: Settings, out: Path | None) -> int:
    """Write the OpenAPI document, the same bytes each time."""
    text = json.dumps(openapi_document(settings), indent=2, ensure_ascii=False) + "\n"
    if out is None:
        print(text, end="")
    else:
        _write(out, text.encode())
    return 0


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise NothingDone(f"{path} cannot be written: {error.strerror}.") from error


def _replace(part: Path, out: Path) -> None:
    try:
        part.replace(out)
    except OSError as error:
        raise NothingDone(f"{out} cannot be written: {error.strerror}.") from error


@asynccontextmanager
async def _opened(settings: Settings) -> AsyncIterator[Database]:
    """An existing database: a command must not make an empty farm where a path was mistyped."""
    serving.check_folder(settings.data)
    if isinstance(settings.target, Path) and not settings.target.exists():
        raise NoDataFolder(
            f"The folder {settings.data} holds no farm. Give the right one with --data, "
            f"or make a farm there with: nubbin init --data {settings.data}"
        )
    db = await open_database(settings.target)
    try:
        yield db
    finally:
        await db.close()


def _make_folder(data: Path) -> None:
    try:
        data.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise NoDataFolder(
            f"The data folder {data} cannot be made ({error.strerror}). Choose another with --data."
        ) from error


async def _print_link(db: Database, settings: Settings, staff: str) -> None:
    token = await links.make_link(db, staff)
    base = f"http://{settings.host}:{settings.port}"
    print("This link signs in one device, within a day, once the server runs:")
    print(links.sign_in_address(base, token))


async def _listen_and_run(settings: Settings, db: Database, token: str | None, demo: bool) -> None:
    listener = serving.listen(settings.host, settings.port)
    base = serving.address_of(listener, settings.host)
    print(f"Open {links.sign_in_address(base, token)}" if token else f"Open {base}", flush=True)
    if not demo:
        print("Each link signs in one device. Make another with: nubbin link", flush=True)
    await serving.run(create_app(settings, db, demo=demo), listener)


async def _has_records(db: Database) -> bool:
    return bool(await db.rows("SELECT 1 AS one FROM log LIMIT 1"))


async def _fill(db: Database) -> None:
    if find_spec(DEMO_FARM) is None:
        raise NothingDone(
            "This copy has no invented records. Start empty with: nubbin demo --no-fill"
        )
    await import_module(DEMO_FARM).build(db)
