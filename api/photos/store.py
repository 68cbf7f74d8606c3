"""Where photos are kept: a promise that each kind of store holds to.

    put    returns once the picture is there for good
    get    the picture, whole
    close  lets go of what the store holds open

A picture is named by the SHA-256 of what the phone sent, and by its size.
"""

from typing import Literal, Protocol

from api.photos.arriving import SHA256

Size = Literal["full", "small"]
SIZES: tuple[Size, ...] = ("full", "small")


class Missing(Exception):
    """The store answers, and has no such picture."""


class Store(Protocol):
    """Raises StoreAway where it cannot be reached, OSError where its disk fails or is full."""

    async def put(self, sha256: str, size: Size, jpeg: bytes) -> None:
        """Keep a picture. Doing so again is harmless."""

    async def get(self, sha256: str, size: Size) -> bytes:
        """A picture. Raises Missing."""
        ...

    async def close(self) -> None:
        """Let go of what is open."""


def place(sha256: str, size: Size) -> str:
    """A picture's place in its store: ab/ab….jpg, or ab/ab….small.jpg."""
    assert SHA256.fullmatch(sha256), "a path is built from a checked name only"
    return f"{sha256[:2]}/{sha256}{'.small' if size == 'small' else ''}.jpg"
