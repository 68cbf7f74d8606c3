"""Commands that run the server: on a farm's own data folder, or on an invented farm."""

import tempfile
from contextlib import nullcontext
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

from api import serving
from api.access import links
from api.app import create_app
from api.commands.opened import make_folder
from api.database import Database, open_database
from api.https.pages import in_lines
from api.https.reach import Reach
from api.https.renew import OwnCertificates
from api.https.servers import stopping
from api.https.site import open_site
from api.photos.life import build_store
from api.photos.settings import PhotoSettings
from api.settings import Settings
from api.start_errors import NothingDone
from api.stock.first_lists import write_first_lists

DEMO_FARM = "api.demo.farm"


async def serve(settings: Settings) -> int:
    """Serve the data folder until told to stop; the first start prints the owner's link."""
    serving.check_folder(settings.data)
    serving.check_whole(settings)
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
        make_folder(data)
    with tempfile.TemporaryDirectory(prefix="nubbin-demo-") if not data else nullcontext(data) as f:
        settings = Settings(data=Path(f).absolute(), port=port)
        serving.check_folder(settings.data)
        with serving.only_server(settings):
            db = await open_database(settings.target)
            try:
                await _fill(db, settings.data) if fill and not await _has_records(db) else None
                await links.end_reusable_links(db)
                token = await links.make_link(db, await links.owner_of(db), reusable=True)
                await _listen_and_run(settings, db, token, demo=True)
            finally:
                await db.close()
    return 0


async def _listen_and_run(settings: Settings, db: Database, token: str | None, demo: bool) -> None:
    site = open_site(settings)
    with stopping() as stop:
        for line in _announcement(site.reach, token, demo):
            print(line, flush=True)
        await site.serve(create_app(settings, db, demo=demo), db, stop)


def _announcement(reach: Reach, token: str | None, demo: bool) -> list[str]:
    """What whoever started the server reads."""
    base = reach.app
    lines = [f"Open {links.sign_in_address(base, token) if token else base}"]
    if not demo:
        lines.append("Each link signs in one device. Make another with: nubbin link")
    if isinstance(reach.certificates, OwnCertificates):
        lines += [
            f"The first time on each phone, open {reach.onboarding} and follow the steps there.",
            "Fingerprint (SHA-256) of this farm's authority, to compare on the phone:",
            *(f"  {line}" for line in in_lines(reach.certificates.authority.fingerprint).split()),
        ]
    return lines + [f"Note: {sentence}" for sentence in reach.warnings()]


async def _has_records(db: Database) -> bool:
    return bool(await db.rows("SELECT 1 AS one FROM log LIMIT 1"))


async def _fill(db: Database, data: Path) -> None:
    if find_spec(DEMO_FARM) is None:
        raise NothingDone(
            "This copy has no invented records. Start empty with: nubbin demo --no-fill"
        )
    store = build_store(PhotoSettings(), data)
    await import_module(DEMO_FARM).build(db, store=store)
