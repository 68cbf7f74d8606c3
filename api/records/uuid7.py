"""Ids for records the server itself makes. Phones make their own, in the same form."""

import uuid
from collections.abc import Callable


def uuid7(at: int, bits: Callable[[int], int]) -> str:
    """A UUIDv7 (RFC 9562, section 5.7) of a UTC time in milliseconds.

    `bits(n)` gives n random bits: `secrets.randbits`, or a seeded source's `getrandbits`.
    """
    value = (at & (2**48 - 1)) << 80 | 7 << 76 | bits(12) << 64 | 2 << 62 | bits(62)
    return str(uuid.UUID(int=value))
