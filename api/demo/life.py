"""The hidden life of one simulated piece, and what a look at it shows on a given day."""

from dataclasses import dataclass, field
from datetime import date
from random import Random
from typing import Any

from api.demo.truth import (
    LOST_SCALE,
    LOST_SHAPE,
    MOUTH_FACTOR,
    READY_SHAPE,
    SPECIES_FACTOR,
    MethodTruth,
    lost_share,
)


@dataclass
class Life:
    """A piece and its fate: `lost_day` or `ready_day`, in days since its cut."""

    id: str
    code: str
    cut_day: date
    species: str
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


def draw_fate(
    random: Random,
    method: MethodTruth,
    species: str,
    mouth: str,
    time_effect: float,
    loss_effect: float,
) -> tuple[float | None, float | None]:
    """Lost day or ready day of a new piece: the model of `truth`, drawn once."""  # fmt: skip
    if random.random() < float(lost_share(method, loss_effect)):
        return random.weibullvariate(LOST_SCALE, LOST_SHAPE), None
    effect = SPECIES_FACTOR[species] * MOUTH_FACTOR[mouth] * 2.718281828459045**time_effect
    return None, random.weibullvariate(method.scale * effect, READY_SHAPE)


def look(random: Random, life: Life, days: int) -> dict[str, Any]:
    """The body of a full check `days` after the cut."""
    body: dict[str, Any] = {"planned": True, "lights": "on"}
    end = life.ready_day if life.ready_day is not None else 110.0
    share = min(1.0, days / end)
    body["mouth"] = ("none", "bud", "open", "open")[min(3, int(share * 4))]
    if share > 0.85 and random.random() < 0.4:
        body |= {"mouth": "feeding", "lights": "off"}
    body["encrustation"] = min(4, life.start + int(share * (4 - life.start) + 0.15))
    body["recession"] = "none" if random.random() < 0.93 else "rim"
    if life.lost_day is not None:
        near = days / life.lost_day
        body["recession"] = ("none", "rim", "quarter", "half")[min(3, int(near * 4))]
        body["encrustation"] = min(body["encrustation"], life.start + 1)
        if near > 0.7:
            body["signs"] = [random.choice(("algae", "bleached", "sloughing", "skeleton"))]
            body["planned"] = random.random() < 0.8
    if random.random() < 0.2:
        body["expansion"] = random.choice(("closed", "half", "full"))
    return body
