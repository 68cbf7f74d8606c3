"""The body of each kind of record. A field that was not looked at is absent, never a default."""

from typing import Annotated, Literal

from msgspec import Meta, Struct, field

from api.records.fields import (
    Code,
    Count,
    Day,
    Digits,
    Disinfectant,
    Encrustation,
    Endpoint,
    Expansion,
    FieldValue,
    Found,
    Id,
    Key,
    ListName,
    LossSign,
    Millimetres,
    Mouth,
    MouthsKept,
    Place,
    Purpose,
    Reading,
    Recession,
    Sign,
    SourceCode,
    Text,
    Word,
)


class Body(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True, kw_only=True):
    """A strict body: an unknown field is an error, since dropping it would lose what was seen."""


class ArrivalBody(Body, frozen=True):
    line: Word
    species: Key
    origin: Literal["wild", "farmed", "unknown"]
    documents: Annotated[list[Text], Meta(max_length=20)] = field(default_factory=list)
    cut_number: Count | None = None
    mouths: Count | None = None
    size_mm: Millimetres | None = None
    code: Code | None = None
    quarantine_days: Count | None = None
    came_from: Word | None = None
    came_on: Day | None = None
    document: Word | None = None
    source_code: SourceCode | None = None


class CutBody(Body, frozen=True):
    sitting: Id
    mother: Id
    method: Key
    blade: Key | None = None
    blade_state: Literal["new", "good", "worn"] | None = None
    operator: Word | None = None
    reservoir_l: Digits | None = None
    disinfectant: Disinfectant | None = None
    trial: Key | None = None


class GlueBody(Body, frozen=True):
    cut: Id
    base: Key
    purpose: Purpose
    code: Code | None = None
    mouths_kept: MouthsKept | None = None
    size_mm: Millimetres | None = None
    encrustation: Encrustation | None = None
    tray: Key | None = None
    place: Place | None = None
    arm: Key | None = None


class CutEndBody(Body, frozen=True):
    remains: Literal["used-up", "same-base", "new-base"]
    base: Key | None = None


class BindBody(Body, frozen=True):
    code: Code


class CheckBody(Body, frozen=True):
    expansion: Expansion | None = None
    mouth: Mouth | None = None
    encrustation: Encrustation | None = None
    recession: Recession | None = None
    signs: Annotated[list[Sign], Meta(max_length=8)] = field(default_factory=list)
    lights: Literal["on", "off"] | None = None
    planned: bool | None = None
    swept: bool = False
    found: Found | None = None


class ReadyBody(Body, frozen=True):
    endpoint: Endpoint = field(name="for")


class LossBody(Body, frozen=True):
    how: Literal["dead", "missing"]
    sign: LossSign | None = None
    cause: Key | None = None


class ExitBody(Body, frozen=True):
    how: Literal["dispatched", "culled", "given"]
    to: Word | None = None


class MoveBody(Body, frozen=True):
    tray: Key | None = None
    place: Place | None = None
    tank: Key | None = None


class PurposeBody(Body, frozen=True):
    purpose: Purpose


class CareBody(Body, frozen=True):
    what: Literal["feed", "supplement", "dose", "dip", "water-change", "light-change", "export"]
    name: Word | None = None
    amount: Digits | None = None
    unit: Word | None = None


class WaterBody(Body, frozen=True):
    readings: Annotated[list[Reading], Meta(min_length=1, max_length=40)]


class PhotoBody(Body, frozen=True):
    sha256: Annotated[str, Meta(pattern=r"^[0-9a-f]{64}$")]
    bytes: Annotated[int, Meta(ge=1, le=15_000_000)]
    media: Literal["image/jpeg", "image/png", "image/webp"]
    day0: bool = False


class NoteBody(Body, frozen=True):
    text: Text
    about: Literal["colour"] | None = None


class DefineBody(Body, frozen=True):
    list: ListName
    fields: Annotated[dict[Word, FieldValue], Meta(max_length=60)]
    retired: bool | None = None


class RetractBody(Body, frozen=True):
    why: Word
