"""A farm with enough behind it for the whole report: curves with bands, pairs told apart, a trial
that is done, one cut that lost too much, and pieces that are still healing."""

from random import Random
from typing import Any

from api.database import Database
from api.sync.wire import MAX_RECORDS
from tests.browser.farm import LISTS, ago
from tests.sync.phone import Phone, fates

PIECES = 216
CUTS, EACH, GAP = 12, 18, 14
BAD = 7
"""The cut of which most was lost."""
MORE: list[tuple[str, str, dict[str, Any]]] = [
    ("species.favites", "species", {"name": "Favites pentagona", "form": "massive"}),
    ("method.tile", "method", {"name": "Tile saw"}),
    ("base.disc", "base", {"name": "Disc 30 mm", "shape": "disc"}),
    ("trial.mouths", "trial", {"name": "Mouths", "varies": "mouths", "arms": ["none", "part"],
                               "endpoint": "sale", "difference": 14, "cuts": CUTS, "seed": "one",
                               "begins": "2024-01-01"}),
]  # fmt: skip


async def healed(db: Database, now: int) -> tuple[str, str, str, str]:
    """What `Served` begins with; gives back a mother and a piece, which bears no label."""
    lab, random = Phone("lab", 7), Random(4)
    records = [
        lab.make("define", ("item", key), {"list": name, "fields": fields}, ago(now, 400))
        for key, name, fields in (*LISTS, *MORE)
    ]
    mothers = [lab.id() for _ in range(4)]
    for at, mother in enumerate(mothers):
        body = {"line": f"Line {at + 1}", "origin": "wild",
                "species": ("species.lobo", "species.favites")[at % 2]}  # fmt: skip
        records.append(lab.make("arrival", ("piece", mother), body, ago(now, 390)))
    for number in range(CUTS):
        records += _cut(lab, random, now, mothers[number % 4], number)
    for start in range(0, len(records), MAX_RECORDS):
        part = records[start : start + MAX_RECORDS]
        assert set(fates(await lab.push(db, part, now))) == {"stored"}
    glued = [record["subject"]["id"] for record in records if record["kind"] == "glue"]
    assert len(glued) == PIECES
    return mothers[0], glued[-1], "", ""


def _cut(lab: Phone, random: Random, now: int, mother: str, number: int) -> list[Any]:
    """One mother's cut; each mother meets both saws, and each cut both arms and both bases."""
    cut, age = lab.id(), 230 - 15 * number
    saw = ("method.band-saw", "method.tile")[(number + number // 4) % 2]
    body = {"sitting": lab.id(), "mother": mother, "method": saw, "trial": "trial.mouths"}
    made = [lab.make("cut", ("cut", cut), body, ago(now, age))]
    luck = random.gauss(0, 0.08)
    for place in range(EACH):
        piece, arm = lab.id(), ("none", "part")[place % 2]
        glue = {"cut": cut, "base": ("base.hex-40", "base.disc")[place % 3 == 0], "arm": arm,
                "mouths_kept": arm, "size_mm": 15 + place, "encrustation": 0, "purpose": "sale",
                "tray": "tray.a1"}  # fmt: skip
        made.append(lab.make("glue", ("piece", piece), glue, ago(now, age)))
        scale = (70 if saw == "method.band-saw" else 100) * (1.2 if arm == "none" else 1)
        ready = scale * (1 + luck + random.gauss(0, 0.15))
        lost = random.uniform(5, 60) if random.random() < (0.7 if number == BAD else 0.1) else None
        made += _life(lab, now, piece, age, (ready, lost))
    return made


def _life(
    lab: Phone, now: int, piece: str, age: int, fate: tuple[float, float | None]
) -> list[Any]:
    """Its last two looks before something is found, or before today, and what was found."""
    ready, lost = fate
    looks = range(GAP, age, GAP)
    seen = next((day for day in looks if day >= (ready if lost is None else lost)), None)
    before = [day for day in looks if seen is None or day < seen][-2:]
    made = [
        lab.check(piece, ago(now, age - day), encrustation=min(3, int(4 * day / ready)))
        for day in before
    ]
    if seen is not None and lost is None:
        made.append(lab.make("ready", ("piece", piece), {"for": "sale"}, ago(now, age - seen)))
    elif seen is not None:
        made.append(lab.make("loss", ("piece", piece), {"how": "dead"}, ago(now, age - seen)))
    return made
