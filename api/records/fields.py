"""The small types that bodies of records are made of. Shapes are checked when JSON is decoded."""

from typing import Annotated, Literal

from msgspec import Meta, Struct

UUID7 = r"^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"

Id = Annotated[str, Meta(pattern=UUID7, description="UUIDv7 made on the device, lower case")]
Key = Annotated[
    str,
    Meta(pattern=r"^[a-z0-9][a-z0-9.-]{0,63}$", description="id of a list entry, person or device"),
]
Code = Annotated[str, Meta(pattern=r"^[2-9A-HJKMNP-Z]{8}$", description="label code, no hyphen")]
Place = Annotated[
    str, Meta(pattern=r"^[A-Z0-9-]{1,8}$", description="place in the tray's map, such as B7")
]
# PostgreSQL text refuses NUL and SQLite keeps it: keep it out at the door of both.
Text = Annotated[str, Meta(min_length=1, max_length=2000, pattern=r"^[^\u0000]*$")]
Word = Annotated[str, Meta(min_length=1, max_length=120, pattern=r"^[^\u0000]*$")]
# Amounts stay the digits that were typed: a float would change them, a Decimal SQLite would.
Digits = Annotated[
    str, Meta(pattern=r"^-?[0-9]{1,9}(\.[0-9]{1,6})?$", description="a number as typed, point")
]
Moment = Annotated[
    str,
    Meta(
        pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z$",
        description="UTC to the millisecond",
    ),
]
Day = Annotated[
    str,
    Meta(
        pattern=r"^[0-9]{4}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])$", description="a local date"
    ),
]
Millimetres = Annotated[int, Meta(ge=1, le=2000)]
Count = Annotated[int, Meta(ge=0, le=9999)]
Encrustation = Annotated[
    int, Meta(ge=0, le=4, description="five steps: 0 none, 1 a quarter, 2 half, 3 most, 4 all")
]

# As typed from a document, never derived: wild, ranched, captive-bred, captive-born, seized,
# pre-Convention, from the sea, unknown (CITES Resolution Conf. 12.3).
SourceCode = Literal["W", "R", "C", "F", "I", "O", "X", "U"]
Purpose = Literal["sale", "hold"]
# How a looked-at piece was found: its label read, its code typed off it, or its place in the tray.
Found = Literal["scan", "typed", "place"]
Mouth = Literal["none", "bud", "open", "feeding"]
Recession = Literal["none", "rim", "quarter", "half", "more"]
Expansion = Literal["closed", "half", "full"]
Endpoint = Literal["sale", "cut"]
Sign = Literal[
    "algae", "bleached", "sloughing", "brown-jelly", "skeleton", "pest", "loose", "retracted"
]
# Tissue loss by age (Work & Aeby 2006): new is bare white, transitional a film or turf,
# old is overgrown; 'gone' is an empty base.
LossSign = Literal[
    "bare", "film", "overgrown", "bleached", "sloughing", "brown-jelly", "algae", "skeleton", "gone"
]
ListName = Literal[
    "species", "base", "method", "blade", "cause", "tray", "tank", "settings", "trial", "sheet",
    "printer",
]  # fmt: skip
SubjectKind = Literal["piece", "cut", "tray", "tank", "item", "record"]
MouthsKept = Literal["none", "part"] | Annotated[int, Meta(ge=1, le=999)]
FieldValue = str | int | bool | list[str] | None


class Subject(Struct, frozen=True, forbid_unknown_fields=True):
    """What a record is about: a kind and an id (a UUIDv7, or a list entry's key)."""

    kind: SubjectKind
    id: Key


class Observed(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """When it was seen, by the device's own clock.

    at       UTC by the device
    offset   minutes east of UTC there and then
    zone     IANA name of the device's zone
    session  names one run of the app, within which `tick` (ms, monotonic) only grows
    """

    at: Moment
    offset: Annotated[int, Meta(ge=-840, le=840)]
    zone: Word
    session: Key | None = None
    tick: Annotated[int, Meta(ge=0)] | None = None


class Disinfectant(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """What was in the saw's water, as typed, and where the dose comes from. No default exists."""

    what: Word
    dose: Digits
    unit: Word
    source: Text


class Reading(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """One water reading. `below` marks 'below L', where the test ends; `at_c` its temperature."""

    quantity: Key
    value: Digits
    unit: Word
    below: bool = False
    at_c: Digits | None = None
