"""The answer to 'how many cuts does this trial take?' on the wire."""

from typing import Literal

from msgspec import Struct

TrialEndpoint = Literal["sale", "cut", "lost"]
"""Days until ready for sale or to be cut again, or lost by day 180."""
Varies = Literal["method", "base", "mouths"]
Asked = Literal["pieces", "share", "spread"]


class SizeFor(Struct, frozen=True):
    """`difference` in days, or in pieces of a hundred; None: more cuts than is worth naming, or no
    share lies so far off."""

    difference: int
    cuts: int | None


class TrialSize(Struct, frozen=True):
    """How many cuts, and what that rests on.

    basis         the farm's own records, or with something typed, or nothing yet (then no count)
    missing       what the farm's records do not tell, so that it must be typed
    pieces_a_cut  as reckoned with
    share         lost, 0 to 1
    spread        standard deviation in days among pieces of one mother
    alike         intraclass correlation of pieces of one cut, 0 to 1
    sizes         for a smaller difference, the asked one and a larger one
    """

    endpoint: TrialEndpoint
    varies: Varies
    arms: int
    difference: int
    basis: Literal["farm", "typed", "none"]
    missing: list[Asked]
    pieces_a_cut: float | None
    share: float | None
    spread: float | None
    alike: float | None
    sizes: list[SizeFor]
    sentence: str
    notes: list[str]
