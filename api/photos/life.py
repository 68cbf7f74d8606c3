"""The photos' part of the server's life: what is opened with it, and closed with it."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from importlib.util import find_spec
from pathlib import Path

from litestar import Litestar
from litestar.datastructures import State

from api.photos.arriving import Arriving
from api.photos.intake import Photos
from api.photos.local_store import LocalStore
from api.photos.settings import PhotoSettings
from api.photos.store import Store
from api.photos.worker import Reader
from api.start_errors import BadSettings

FOLDER = "photos"


def build_store(settings: PhotoSettings, data: Path) -> Store:
    """The store that the settings name; in `data` where they name none. Raises BadSettings."""
    if not settings.bucket:
        return LocalStore(data / FOLDER / "kept")
    if find_spec("obstore") is None:
        raise BadSettings(
            "NUBBIN_PHOTOS_BUCKET is set, and this installation cannot speak to buckets. "
            "Install it again with: pip install 'nubbin[s3]'"
        )
    from api.photos.bucket_store import BucketStore

    return BucketStore(settings)


def photos_life(
    settings: PhotoSettings, data: Path
) -> Callable[[Litestar], AbstractAsyncContextManager[None]]:
    """A lifespan that sets `app.state.photos`; the database's comes before it."""
    store = build_store(settings, data)

    @asynccontextmanager
    async def lifespan(app: Litestar) -> AsyncIterator[None]:
        arriving = Arriving(data / FOLDER / "arriving")
        app.state.photos = photos = Photos(app.state.db, arriving, Reader(), store)
        try:
            await photos.tidy()
            yield
        finally:
            await photos.close()

    return lifespan


def photos_of(state: State) -> Photos:
    """The dependency `photos` of the handlers that need it."""
    found: Photos = state.photos
    return found
