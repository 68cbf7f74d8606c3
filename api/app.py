"""The application: routes, what stands before them, and the database's life.

request → headers on every answer → same origin → guard → its body, in time → handler
"""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path
from typing import Any

from litestar import Litestar
from litestar.config.compression import CompressionConfig
from litestar.datastructures import State
from litestar.di import Provide
from litestar.exceptions import HTTPException
from litestar.openapi import OpenAPIConfig
from litestar.openapi.spec import Components, SecurityScheme
from litestar.stores.memory import MemoryStore
from litestar.stores.registry import StoreRegistry

from api.access import audit, device_routes, holding_routes, people_routes
from api.access import routes as access_routes
from api.access.cookies import SECURE_NAME
from api.access.guard import Guard
from api.access.origin import SameOrigin
from api.access.person import caller_of, person_of
from api.database import Database, open_database
from api.headers import add_headers
from api.healing import behind, comparison, likely, report, warnings
from api.https import routes as https_routes
from api.labelling import reading_routes
from api.labelling import routes as label_routes
from api.photos.life import photos_life
from api.photos.settings import PhotoSettings, load_photo_settings
from api.planning import routes as planning_routes
from api.problems import answer
from api.settings import Settings
from api.shell import dist_folder, shell_route
from api.slow_body import Hurry
from api.sync import photos, pull, push, quarantine_routes
from api.version import VERSION

MAX_BODY = 1024 * 1024


def create_app(
    settings: Settings,
    db: Database | None = None,
    *,
    demo: bool = False,
    dist: Path | None = None,
    openapi: OpenAPIConfig | None = None,
) -> Litestar:
    """The server. A database handed in is closed with the app, as one opened here is.

    dist     folder of the built phone app, if not the usual one
    openapi  given only to write the document: nothing serves it
    """
    return Litestar(
        route_handlers=[*_routes(), shell_route(dist or dist_folder())],
        lifespan=[_database(settings, db), photos_life(_photos(demo), settings.data)],
        state=State({"demo": demo}),
        dependencies={
            "db": Provide(database_of, sync_to_thread=False),
            "caller": Provide(caller_of, sync_to_thread=False),
            "person": Provide(person_of, sync_to_thread=False),
        },
        middleware=[SameOrigin(), Hurry(), Guard],
        exception_handlers={HTTPException: answer, Exception: answer},
        before_send=[add_headers],
        compression_config=CompressionConfig(
            "brotli", brotli_gzip_fallback=True, exclude_opt_key="skip_compression"
        ),
        stores=StoreRegistry(default_factory=lambda _name: MemoryStore()),
        request_max_body_size=MAX_BODY,
        openapi_config=openapi,
        logging_config=None,
    )


def database_of(state: State) -> Database:
    """The dependency `db` of every handler."""
    found: Database = state.db
    return found


def openapi_document(settings: Settings) -> dict[str, Any]:
    """The OpenAPI document of every handler, without a database being opened."""
    config = OpenAPIConfig(
        title="Nubbin",
        version=VERSION,
        components=Components(
            security_schemes={
                "session": SecurityScheme(
                    type="apiKey", name=SECURE_NAME, security_scheme_in="cookie"
                )
            }
        ),
        security=[{"session": []}],
        use_handler_docstrings=True,
    )
    return create_app(settings, openapi=config).openapi_schema.to_schema()


def _routes() -> list[Any]:
    return [
        *access_routes.routes,
        *holding_routes.routes,
        *people_routes.routes,
        *device_routes.routes,
        *audit.routes,
        *https_routes.routes,
        *push.routes,
        *pull.routes,
        *photos.routes,
        *quarantine_routes.routes,
        *reading_routes.routes,
        *label_routes.routes,
        *report.routes,
        *behind.routes,
        *comparison.routes,
        *likely.routes,
        *warnings.routes,
        *planning_routes.routes,
    ]


def _photos(demo: bool) -> PhotoSettings:
    """A throw-away farm keeps its pictures with it, whatever bucket this machine is set to."""
    return PhotoSettings() if demo else load_photo_settings()


def _database(
    settings: Settings, db: Database | None
) -> Callable[[Litestar], AbstractAsyncContextManager[None]]:
    @asynccontextmanager
    async def lifespan(app: Litestar) -> AsyncIterator[None]:
        app.state.db = db or await open_database(settings.target)
        try:
            yield
        finally:
            await app.state.db.close()

    return lifespan
