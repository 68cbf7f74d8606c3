"""Records of one piece by chance: the same choices for the fixtures and for hypothesis.

A draw is (minutes, kind, place in the list of bodies). Times are few and far apart or equal, so
that ties, one-day pairs and odd orders are common.
"""

from random import Random
from typing import Any

from tests.stock.records import CUT, MOTHER, PIECE, SITTING, RawEntry, entry, ms

Draw = tuple[int, str, int]

START = ms("2026-03-27 00:00")
"""Two days before the clocks go forward in much of Europe."""
ZONES = ["Indian/Maldives", "Europe/Berlin", "America/St_Johns", "Pacific/Kiritimati", "UTC"]

_GLUE = {"cut": CUT, "base": "base.hex-40", "purpose": "sale"}
_MADE = {"sitting": SITTING, "mother": PIECE, "method": "method.band-saw"}

BODIES: dict[str, list[dict[str, Any]]] = {
    "arrival": [
        {"line": "Amber 3", "species": "species.one", "origin": "wild", "code": "4JQZKDMN"},
        {"line": "Teal", "species": "species.two", "origin": "farmed", "cut_number": 2,
         "quarantine_days": 30, "size_mm": 60, "mouths": 3, "documents": ["as typed"]},
    ],
    "glue": [
        _GLUE,
        {**_GLUE, "purpose": "hold", "code": "22222222", "mouths_kept": "part", "size_mm": 20,
         "encrustation": 1, "tray": "tray.a1", "place": "B7", "arm": "arm.one"},
        {**_GLUE, "mouths_kept": 2, "encrustation": 0, "tray": "tray.a2"},
    ],
    "bind": [{"code": "22222222"}, {"code": "33333333"}, {"code": "4JQZKDMN"}],
    "check": [
        {}, {"swept": True}, {"mouth": "bud", "encrustation": 1, "lights": "on"},
        {"mouth": "open", "encrustation": 3, "expansion": "full", "recession": "none"},
        {"recession": "quarter", "signs": ["algae", "brown-jelly"], "planned": True},
        {"swept": True, "signs": ["loose"], "mouth": "feeding"},
    ],
    "ready": [{"for": "sale"}, {"for": "cut"}],
    "loss": [
        {"how": "dead"}, {"how": "missing"},
        {"how": "dead", "sign": "bare", "cause": "cause.heat"}, {"how": "missing", "sign": "gone"},
    ],
    "exit": [{"how": "dispatched", "to": "order 12"}, {"how": "culled"}, {"how": "given"}],
    "move": [{"tray": "tray.a1", "place": "B7"}, {"tray": "tray.a2"}, {"tank": "tank.two"}],
    "purpose": [{"purpose": "hold"}, {"purpose": "sale"}],
    "cut": [_MADE, {**_MADE, "blade": "blade.one", "blade_state": "worn", "reservoir_l": "4.5"}],
    "cut_end": [
        {"remains": "used-up"}, {"remains": "same-base"},
        {"remains": "new-base", "base": "base.disc-30"}, {"remains": "new-base"},
    ],
    "note": [{"text": "by the pump"}],
    "care": [{"what": "feed", "amount": "1.5", "unit": "ml"}],
}  # fmt: skip
LIKELY = ["check"] * 6 + ["loss", "ready", "move", "bind", "cut"] * 2 + list(BODIES)
MINUTES = 60 * 24 * 8


def build(draws: list[Draw]) -> list[RawEntry]:
    """Entries from draws; the place in the list gives each its id."""
    made = []
    for number, (minutes, kind, which) in enumerate(draws, 1):
        body = BODIES[kind][which % len(BODIES[kind])]
        subject = ("cut", MOTHER) if kind in ("cut", "cut_end") else ("piece", PIECE)
        made.append(entry(number, START + minutes * 60_000, kind, body, subject))
    return made


def draws(random: Random) -> list[Draw]:
    """Draws for one case, most often beginning with the gluing."""
    times = [random.randrange(MINUTES) for _ in range(random.randint(1, 12))]
    made = [
        (random.choice(times), random.choice(LIKELY), random.randrange(12))
        for _ in range(random.randint(0, 18))
    ]
    if random.random() < 0.8:
        made.append((random.choice([0, min(times)]), random.choice(["glue", "arrival"]),
                     random.randrange(12)))  # fmt: skip
    random.shuffle(made)
    return made
