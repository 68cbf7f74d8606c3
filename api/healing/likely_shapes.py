"""What GET /api/healing/likely answers."""

from msgspec import Struct

from api.records.fields import Encrustation, Endpoint, Moment, Mouth


class LikelyPiece(Struct, frozen=True):
    """One piece that is still healing, as it was last seen. Dates are the facility's.

    ever         chance that it gets ready at all
    now          chance that it is ready already
    day          as likely before as after, should it get ready
    low, high    between them with a chance of 80 %; all three None for what is outside the model
    outside      seen healing for longer than 99 in 100 such pieces do, or than any piece of the
                 farm that got ready, or hardly a chance left, or no end to its range within the
                 days that are reckoned with: nothing is promised
    looked       the date of its last check; None where only sweeps saw it
    mouth, encrustation  as last seen by then; None where nobody recorded them
    """

    id: str
    code: str | None
    tray: str | None
    place: str | None
    name: str
    ever: float
    now: float
    day: str | None
    low: str | None
    high: str | None
    outside: bool
    looked: str | None = None
    mouth: Mouth | None = None
    encrustation: Encrustation | None = None


class LikelyWeek(Struct, frozen=True):
    """Pieces that get ready in the seven days from `begins`, with 95 % limits. In the first week
    those that may be ready already are left out."""

    begins: str
    mean: float
    low: int
    high: int


class Likely(Struct, frozen=True):
    """The answer; `already` may be ready now, not looked at since. Without an answer `note` says
    why. `by_looks`: what the last checks saw of mouth and encrustation is in every chance, date and
    number here."""

    made_at: Moment
    endpoint: Endpoint
    note: list[str]
    already: float
    pieces: list[LikelyPiece]
    weeks: list[LikelyWeek]
    by_looks: bool = False
