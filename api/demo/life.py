"""The hidden life of one simulated piece, and what a look at it shows on a given day."""

import math
from dataclasses import dataclass, field
from datetime import date
from random import Random
from typing import Any

from api.demo.truth import LOST_SCALE, LOST_SHAPE, READY_SHAPE, Made, lost_share

SIGNS = ("algae", "bleached", "sloughing", "skeleton", "brown-jelly")
FAILING = 0.7
"""The part of a doomed piece's life after which its decline can be seen."""
DOOMED_PACE = 110.0
"""Days in which a piece that will be lost would have healed; it only paces what is seen."""


@dataclass
class Life:
    """A piece and its fate: `lost_day` or `ready_day`, in days since its cut."""

    id: str
    code: str
    cut_day: date
    made: Made
    operator: str
    blade: str
    purpose: str
    start: int
    tray: str
    place: str
    lost_day: float | None
    ready_day: float | None
    ready_on: date | None = None
    grown_on: date | None = None
    gone_on: date | None = None
    missed: bool = False
    records: list[str] = field(default_factory=list)

    @property
    def species(self) -> str:
        """The key of its species."""
        return self.made.species

    def healed(self, days: int) -> float:
        """How far healing has come `days` after the cut, 0 to 1."""
        return min(1.0, days / (DOOMED_PACE if self.ready_day is None else self.ready_day))

    def is_lost(self, days: int) -> bool:
        """Whether it is gone `days` after the cut."""
        return self.lost_day is not None and days >= self.lost_day


def draw_fate(
    random: Random, made: Made, time_effect: float, loss_effect: float
) -> tuple[float | None, float | None]:
    """Lost day or ready day of a new piece: the model of `truth`, once."""
    if random.random() < float(lost_share(made, loss_effect)):
        return random.weibullvariate(LOST_SCALE, LOST_SHAPE), None
    return None, random.weibullvariate(made.scale * math.exp(time_effect), READY_SHAPE)


def look(random: Random, life: Life, days: int) -> dict[str, Any]:
    """The body of a full check by day, `days` after the cut. Feeding is not seen by day."""
    share = life.healed(days)
    body: dict[str, Any] = {
        "planned": True,
        "lights": "on",
        "mouth": ("none", "bud", "open", "open")[min(3, int(share * 4))],
        "encrustation": min(4, life.start + int(share * (4 - life.start) + 0.15)),
        "recession": "none" if random.random() < 0.93 else "rim",
    }
    if life.lost_day is not None:
        near = days / life.lost_day
        body["recession"] = ("none", "rim", "quarter", "half")[min(3, int(near * 4))]
        body["encrustation"] = min(body["encrustation"], life.start + 1)
        if near > FAILING:
            body["signs"] = [random.choice(SIGNS)]
            body["planned"] = random.random() < 0.8
    if random.random() < 0.2:
        body["expansion"] = random.choice(("closed", "half", "full"))
    return body


def how_found(random: Random, days: int) -> str:
    """How a round finds a piece `days` after its cut: labels get overgrown as pieces do well."""
    if random.random() < max(0.35, 0.97 - days / 300):
        return "scan"
    return "typed" if random.random() < 0.4 else "place"


def night_look(random: Random, life: Life, days: int) -> dict[str, Any] | None:
    """A look with the lights off, at a mouth that is open; None where there is none to see."""
    share = life.healed(days)
    if share < 0.5 or (life.lost_day is not None and days / life.lost_day > FAILING):
        return None
    feeds = share > 0.75 and random.random() < 0.8
    return {"planned": True, "lights": "off", "expansion": "full" if feeds else "half",
            "mouth": "feeding" if feeds else "open"}  # fmt: skip
