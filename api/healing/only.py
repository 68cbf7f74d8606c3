"""Which pieces a report is about: by the day of their cut, and by what they were on it. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np

from api.healing.rows import BoolArray
from api.healing.traits import BYS, OF_TANKS, By, Traits
from api.problems import BadRequest


@dataclass(frozen=True)
class Only:
    """Cut from `since` up to and including `until`, and with one of the named values of each
    trait in `values`. Nothing set lets everything through."""

    since: str | None = None
    until: str | None = None
    values: Mapping[By, frozenset[str]] = field(default_factory=dict)

    @property
    def is_everything(self) -> bool:
        return self.since is None and self.until is None and not self.values

    @property
    def needs_tanks(self) -> bool:
        """Whether it must be known where trays stood."""
        return not OF_TANKS.isdisjoint(self.values)

    def has_day(self, day: str) -> bool:
        """Whether a cut of that local date is meant; ISO dates sort as text."""
        return (self.since or day) <= day <= (self.until or day)

    def has(self, traits: Traits) -> BoolArray:
        """Which pieces of these traits are meant, (pieces,)."""
        found = np.ones(traits.codes["method"].size, bool)
        for by, values in self.values.items():
            found &= traits.are(by, values)
        return found

    def written(self) -> list[str]:
        """The values as an address writes them."""
        return sorted(f"{by}:{value}" for by, found in self.values.items() for value in found)


EVERYTHING = Only()


def read_only(since: str | None, until: str | None, only: Iterable[str]) -> Only:
    """What an address asks for: two ISO dates, and 'trait:value' any number of times.

    Values of one trait are alternatives, different traits must all hold. BadRequest says which
    part cannot be read.
    """
    first, last = _day("from", since), _day("to", until)
    if first is not None and last is not None and first > last:
        raise BadRequest(f"'from' {first} comes after 'to' {last}. Nothing was worked out.")
    values: dict[By, set[str]] = defaultdict(set)
    for text in only:
        trait, colon, value = text.partition(":")
        if not colon or not value or trait not in BYS:
            raise BadRequest(
                f"'{text}' names no trait: write 'trait:value', with one of {', '.join(BYS)}. "
                "Nothing was worked out."
            )
        values[trait].add(value)
    return Only(first, last, {by: frozenset(found) for by, found in values.items()})


def _day(name: str, text: str | None) -> str | None:
    if text is None:
        return None
    try:
        if date.fromisoformat(text).isoformat() == text:
            return text
    except ValueError:
        pass
    raise BadRequest(
        f"'{name}' is '{text[:40]}', which is no date such as 2026-03-01. Nothing was worked out."
    )
