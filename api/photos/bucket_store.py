"""Photos kept in a bucket of any server that speaks the S3 protocol. Needs the extra `s3`."""

from datetime import timedelta

from obstore.exceptions import BaseError
from obstore.store import S3Store

from api.photos.problems import StoreAway
from api.photos.settings import PhotoSettings
from api.photos.store import Missing, Size, place

PATIENCE = timedelta(seconds=20)
"""How long a request may take in all: a phone gives up on us after 30 s, and asks again later."""


class BucketStore:
    """One bucket, addressed by path. A server stores a whole object or none of it."""

    def __init__(self, settings: PhotoSettings) -> None:
        self._store = S3Store(
            settings.bucket,
            endpoint=settings.endpoint,
            region=settings.region,
            access_key_id=settings.key_id,
            secret_access_key=settings.secret_key,
            virtual_hosted_style_request=False,
            client_options={
                "allow_http": settings.endpoint.startswith("http://"),
                "connect_timeout": PATIENCE / 4,
                "timeout": PATIENCE,
            },
            retry_config={"max_retries": 2, "retry_timeout": PATIENCE},
        )

    async def put(self, sha256: str, size: Size, jpeg: bytes) -> None:
        """Keep a picture. Raises StoreAway."""
        try:
            await self._store.put_async(
                place(sha256, size), jpeg, attributes={"Content-Type": "image/jpeg"}
            )
        except (BaseError, OSError) as error:
            raise StoreAway from error

    async def get(self, sha256: str, size: Size) -> bytes:
        """A picture. Raises Missing or StoreAway."""
        try:
            found = await self._store.get_async(place(sha256, size))
            return bytes(await found.bytes_async())
        except FileNotFoundError as error:
            raise Missing from error
        except (BaseError, OSError) as error:
            raise StoreAway from error

    async def close(self) -> None:
        """The library closes its connections by itself."""
