"""Time zones by their IANA names."""

from functools import lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError


@lru_cache(maxsize=256)
def is_zone(name: str) -> bool:
    """Whether the time zone data know this name."""
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True
