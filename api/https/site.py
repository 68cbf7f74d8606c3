"""A farm's server put together: its ports, its certificate, and which application is on which."""

import logging
import socket
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from functools import partial

import asyncpg
from litestar import Litestar

from api.access.audit import note
from api.database import Database
from api.https.local import is_loopback
from api.https.names import Place
from api.https.onboarding import onboarding_app
from api.https.pem import Pair, names_in, now_utc
from api.https.plain_http import ExplainPlainHttp
from api.https.reach import Reach, place_of
from api.https.renew import (
    Certificates,
    FileCertificates,
    OwnCertificates,
    look_after,
    refresh,
)
from api.https.servers import Part, Stop, run
from api.records.clock import now_ms
from api.serving import listen
from api.settings import Settings

_log = logging.getLogger("nubbin")


@dataclass
class Site:
    """Listening, and not yet answering. `reach` tells people where."""

    reach: Reach
    http: socket.socket
    https: socket.socket | None

    async def serve(self, app: Litestar, db: Database, stop: Stop) -> None:
        """Answer until told to stop; meanwhile keep the certificate fresh and the address noted."""
        app.state.reach = self.reach
        held, told = self.reach.certificates, partial(_note_renewal, db)
        if held is not None and held.is_new:
            await told(held.pair)

        async def turn() -> None:
            self.reach.remember()
            if held is not None:
                await refresh(held, told)

        await run(self.parts(app), stop, self.reach.settings.behind_proxy, look_after(turn))

    def parts(self, app: Litestar) -> list[Part]:
        """Which application answers on which port."""
        if self.https is not None and self.reach.certificates is not None:
            context = self.reach.certificates.context
            return [
                Part(app, self.https, context, lifespan=True),
                Part(onboarding_app(self.reach), self.http),
            ]
        if is_loopback(self.reach.settings.host):
            return [Part(app, self.http, lifespan=True)]
        explained = ExplainPlainHttp(app, onboarding_app(self.reach))
        return [Part(explained, self.http, lifespan=True)]


def open_site(settings: Settings, clock: Callable[[], datetime] = now_utc) -> Site:
    """Listen on the ports with what HTTPS needs. Raises CannotListen or BadCertificate."""
    place = place_of(settings)
    certificates = certificates_of(settings, place, clock)
    http = listen(settings.host, settings.port)
    https = None
    if certificates is not None:
        try:
            https = listen(settings.host, settings.https_port, option="--https-port")
        except BaseException:
            http.close()
            raise
    https_port = https.getsockname()[1] if https else settings.https_port
    reach = Reach(settings, place, http.getsockname()[1], https_port, certificates, clock)
    return Site(reach, http, https)


def certificates_of(
    settings: Settings, place: Callable[[], Place], clock: Callable[[], datetime] = now_utc
) -> Certificates | None:
    """The certificate that the settings ask for; None for plain HTTP. Raises BadCertificate."""
    if settings.https == "own":
        return OwnCertificates(settings.data, place, settings.name_constraints, clock)
    if settings.https == "files" and settings.cert and settings.key:
        return FileCertificates(settings.cert, settings.key, clock)
    return None


def app_address(settings: Settings) -> str:
    """Where the app will be, before or beside a running server."""
    return Reach(settings, place_of(settings), settings.port, settings.https_port).app


async def _note_renewal(db: Database, pair: Pair) -> None:
    """Write it into the audit list; the certificate is in use whether or not that succeeds."""
    names = ", ".join(names_in(pair.certificate))
    try:
        async with db.write() as tx:
            until = f"{pair.until:%Y-%m-%d}"
            await note(tx, now_ms(), "certificate-renewed", until=until, names=names)
    except (sqlite3.Error, asyncpg.PostgresError, asyncpg.InterfaceError, OSError) as error:
        _log.warning("The new certificate could not be noted in the audit list: %s", error)
