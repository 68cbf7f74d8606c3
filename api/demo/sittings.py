"""Sittings at the saw: mothers are cut, and pieces glued to bases with labels."""

from collections import defaultdict
from datetime import date, timedelta
from random import Random
from typing import Any

from api.demo.diary import HOUR, Diary, local
from api.demo.life import Life, draw_fate
from api.demo.people import BENCH, COLUMNS, LEAD, ROWS, SPECIES, TRAYS, species_key, tray_key
from api.demo.truth import (
    BASE_OF,
    BASE_SHARE,
    CUT_SD_LOSS,
    CUT_SD_TIME,
    METHODS,
    MOUTH_SHARE,
    MethodTruth,
)
from api.planning.draw import Plan, next_arm
from labels import make_code

CUTS_A_SITTING = 4
DAYS_BETWEEN = 24
MOTHERS = 3 * len(SPECIES)
TRIAL_SITTINGS = 3
"""The newest ones, which draw for a trial: too young to bend what the year shows."""


PAPERS: dict[str, dict[str, Any]] = {
    "wild": {"came_from": "Collector at the north reef", "document": "P 118/25",
             "source_code": "W", "quarantine_days": 40},
    "farmed": {"came_from": "Another farm", "document": "F 7/25", "source_code": "C",
               "quarantine_days": 20, "cut_number": 2},
    "unknown": {},
}  # fmt: skip
"""Invented, as everything of this farm."""


class Bench:
    """The cut bench: gives out places in trays and codes, and remembers the lives it began."""

    def __init__(self, diary: Diary, random: Random) -> None:
        self.diary, self.random = diary, random
        self.lives: list[Life] = []
        self.codes: list[str] = []
        self.trial: Plan | None = None
        self._arms: dict[str, list[str]] = defaultdict(list)
        self._places = iter(
            (tray_key(tray), f"{chr(65 + column)}{row + 1}")
            for tray in TRAYS for row in range(ROWS) for column in range(COLUMNS)
        )  # fmt: skip

    def code(self) -> str:
        """A new code from the seeded source."""
        self.codes.append(make_code(self.random))
        return self.codes[-1]

    def arrive(self, day: date) -> list[tuple[str, str]]:
        """Three mothers a species: (piece, species). They stand in the south raceway."""
        mothers = []
        for number, (name, *_) in enumerate(SPECIES * 3):
            at = local(day, 10) + number * HOUR // 20
            piece = self.diary.id(at)
            origin = ("wild", "farmed", "unknown")[number % 3]
            body: dict[str, Any] = {
                "line": f"{name.split()[0][:4].upper()}-{number // 5 + 1}",
                "species": species_key(name), "origin": origin, "code": self.code(),
                "size_mm": self.random.randint(90, 180),
            }  # fmt: skip
            body |= PAPERS[origin]
            self.write(day, at, "arrival", ("piece", piece), body)
            self.write(day, at + 1000, "move", ("piece", piece), {"tank": "tank.south"})
            mothers.append((piece, species_key(name)))
        return mothers

    def begin_trial(self, day: date) -> None:
        """From here on it is drawn, within each mother, whether a part of the mouth is kept."""
        at = local(day, 8)
        self.trial = Plan("trial.mouths", "quiet reef", ("none", "part"))
        fields = {
            "name": "Part of the mouth kept", "varies": "mouths", "arms": ["none", "part"],
            "endpoint": "sale", "difference": 14, "cuts": 24, "seed": self.trial.seed,
            "begins": day.isoformat(),
        }  # fmt: skip
        body = {"list": "trial", "fields": fields}
        self.write(day, at, "define", ("item", self.trial.trial), body)

    def write(self, day: date, at: int, kind: str, subject: tuple[str, str], body: Any) -> str:
        """A record made at the bench by the lead."""
        return self.diary.write(day, at, BENCH, LEAD, kind, subject, body)

    def sit(self, day: date, mothers: list[tuple[str, str]], number: int) -> None:
        """One sitting: every method in turn, and another one each time a mother's turn comes round
        again, so that methods are tangled neither with species nor with mothers."""
        sitting = self.diary.id(local(day, 9))
        for place, (mother, species) in enumerate(mothers):
            again, mother_turn = divmod(number * CUTS_A_SITTING + place, MOTHERS)
            method = METHODS[(again + mother_turn) % len(METHODS)]
            self._cut(day, local(day, 9.5) + place * HOUR, sitting, mother, species, method)

    def _cut(
        self, day: date, at: int, sitting: str, mother: str, species: str, method: MethodTruth
    ) -> None:
        cut = self.diary.id(at)
        trial = {} if self.trial is None else {"trial": self.trial.trial}
        self.write(day, at, "cut", ("cut", cut), {
            "sitting": sitting, "mother": mother, "method": method.key, "blade": "blade.a",
            "blade_state": self.random.choice(("new", "good", "worn")), "reservoir_l": "12",
            "operator": "Tomas Orrell", **trial,
        })  # fmt: skip
        time_effect = self.random.gauss(0, CUT_SD_TIME)
        loss_effect = self.random.gauss(0, CUT_SD_LOSS)
        for number in range(self.random.randint(6, 9)):
            self._glue(day, at + (number + 2) * 90_000, (cut, mother), species, method,
                       (time_effect, loss_effect))  # fmt: skip
        grown = next((life for life in self.lives if life.id == mother), None)
        if grown is not None:
            grown.gone_on = day
        left = self.random.choice(("same-base", "same-base", "new-base"))
        end = {"remains": "used-up" if grown else left}
        self.write(day, at + 50 * 60_000, "cut_end", ("cut", cut), end)

    def _glue(
        self, day: date, at: int, made: tuple[str, str], species: str, method: MethodTruth,
        effects: tuple[float, float],
    ) -> None:  # fmt: skip
        random = self.random
        piece, (tray, place) = self.diary.id(at), next(self._places)
        mouth = "none" if random.random() < MOUTH_SHARE["none"] else "part"
        (cut, mother), arm = made, dict[str, str]()
        if self.trial is not None:
            mouth = next_arm(self.trial, mother, self._arms[mother])
            self._arms[mother].append(mouth)
            arm = {"arm": mouth}
        purpose = "sale" if random.random() < BASE_SHARE[BASE_OF["sale"]] else "hold"
        base = BASE_OF[purpose]
        lost, ready = draw_fate(random, method, (species, mouth, base), *effects)
        life = Life(piece, self.code(), day, species, purpose, random.choice((0, 0, 1)), tray,
                    place, lost, ready)  # fmt: skip
        self.write(day, at, "glue", ("piece", piece), {
            "cut": cut, "code": life.code, "base": base, "purpose": purpose,
            "mouths_kept": mouth, "size_mm": random.randint(16, 32), "encrustation": life.start,
            "tray": tray, "place": place, **arm,
        })  # fmt: skip
        self.lives.append(life)


def choose_mothers(
    colonies: list[tuple[str, str]], lives: list[Life], number: int
) -> list[tuple[str, str]]:
    """The colonies whose turn it is, the last one giving way to a piece grown to be cut again."""
    turn = number * CUTS_A_SITTING
    chosen = [colonies[(turn + n) % len(colonies)] for n in range(CUTS_A_SITTING)]
    grown = next((x for x in lives if x.grown_on is not None and x.gone_on is None), None)
    return [*chosen[:-1], (grown.id, grown.species)] if grown else chosen


def sitting_days(today: date) -> list[date]:
    """The days at the saw in the year before `today`; the newest is a month ago."""
    first, last = today - timedelta(days=364), today - timedelta(days=28)
    count = (last - first).days // DAYS_BETWEEN
    return [first + timedelta(days=DAYS_BETWEEN * n) for n in range(count + 1)]
