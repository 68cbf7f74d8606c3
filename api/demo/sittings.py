"""Sittings at the saw: mothers are cut, and pieces glued to bases with labels."""

from collections import defaultdict
from datetime import date, timedelta
from random import Random
from typing import Any, NamedTuple

from api.demo.diary import HOUR, Diary, local
from api.demo.life import Life, draw_fate
from api.demo.people import (
    BENCH,
    COLUMNS,
    LEAD,
    ROWS,
    SPECIES,
    TANKS,
    TRAYS,
    species_key,
    tray_key,
)
from api.demo.saws import Saws, operator
from api.demo.truth import (
    BASE_OF,
    BASE_SHARE,
    CUT_SD_LOSS,
    CUT_SD_TIME,
    METHODS,
    MOUTH_SHARE,
    Made,
    MethodTruth,
    Wear,
)
from api.planning.draw import Plan, next_arm
from labels import make_code

CUTS_A_SITTING = 4
DAYS_BETWEEN = 28
HISTORY_DAYS = 448
"""Fifteen months, so that enough cuts are older than their slow pieces take."""
MOTHERS = 3 * len(SPECIES)
TRIAL_SITTINGS = 3
"""The newest ones, which draw for a trial: too young to bend what the others show."""


PAPERS: dict[str, dict[str, Any]] = {
    "wild": {"came_from": "Collector at the north reef", "document": "P 118/25",
             "source_code": "W", "quarantine_days": 40},
    "farmed": {"came_from": "Another farm", "document": "F 7/25", "source_code": "C",
               "quarantine_days": 20, "cut_number": 2},
    "unknown": {},
}  # fmt: skip
"""Invented, as everything of this farm."""


class _Cut(NamedTuple):
    """One mother cut once; `tank` is the place of its tank and tray in TANKS and TRAYS."""

    key: str
    mother: str
    species: str
    blade: str
    wear: Wear
    operator: str
    tank: int


class Bench:
    """The cut bench: gives out places in trays and codes, and remembers the lives it began."""

    def __init__(self, diary: Diary, random: Random) -> None:
        """`random` is for how pieces are made and what becomes of them, and for nothing else: so
        that what is written down besides never bends a fate."""
        self.diary, self.random, self.saws = diary, random, Saws()
        self.lives: list[Life] = []
        self.codes: list[str] = []
        self.trial: Plan | None = None
        self._arms: dict[str, list[str]] = defaultdict(list)
        self._places = [
            iter(
                [f"{chr(65 + column)}{row + 1}" for row in range(ROWS) for column in range(COLUMNS)]
            )
            for _ in TRAYS
        ]

    def code(self) -> str:
        """A new code from the diary's source."""
        self.codes.append(make_code(self.diary.random))
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
        again, so that methods are tangled neither with species nor with mothers. Each cut stands
        in the next tank."""
        sitting, cutter = self.diary.id(local(day, 9)), operator(number)
        for place, (mother, species) in enumerate(mothers):
            turn = number * CUTS_A_SITTING + place
            again, mother_turn = divmod(turn, MOTHERS)
            method, tank = METHODS[(again + mother_turn) % len(METHODS)], _tank(turn)
            at, (blade, wear) = local(day, 9.5) + place * HOUR, self.saws.next_blade(method)
            cut = _Cut(self.diary.id(at), mother, species, blade, wear, cutter, tank)
            self._cut(day, at, sitting, cut, method)

    def _cut(self, day: date, at: int, sitting: str, cut: _Cut, method: MethodTruth) -> None:
        trial = {} if self.trial is None else {"trial": self.trial.trial}
        self.write(day, at, "cut", ("cut", cut.key), {
            "sitting": sitting, "mother": cut.mother, "method": method.key, "blade": cut.blade,
            "blade_state": cut.wear, "reservoir_l": "12", "operator": cut.operator, **trial,
        })  # fmt: skip
        effects = self.random.gauss(0, CUT_SD_TIME), self.random.gauss(0, CUT_SD_LOSS)
        for number in range(self.random.randint(6, 9)):
            self._glue(day, at + (number + 2) * 90_000, cut, method, effects)
        grown = next((life for life in self.lives if life.id == cut.mother), None)
        if grown is not None:
            grown.gone_on = day
        left = self.random.choice(("same-base", "same-base", "new-base"))
        end = {"remains": "used-up" if grown else left}
        self.write(day, at + 50 * 60_000, "cut_end", ("cut", cut.key), end)

    def _glue(
        self, day: date, at: int, cut: _Cut, method: MethodTruth, effects: tuple[float, float]
    ) -> None:
        random, piece = self.random, self.diary.id(at)
        mouth = "none" if random.random() < MOUTH_SHARE["none"] else "part"
        arm = dict[str, str]()
        if self.trial is not None:
            mouth = next_arm(self.trial, cut.mother, self._arms[cut.mother])
            self._arms[cut.mother].append(mouth)
            arm = {"arm": mouth}
        purpose = "sale" if random.random() < BASE_SHARE[BASE_OF["sale"]] else "hold"
        made = Made(method, cut.species, mouth, BASE_OF[purpose], cut.wear, TANKS[cut.tank][3])
        lost, ready = draw_fate(random, made, *effects)
        tray, place = tray_key(TRAYS[cut.tank]), next(self._places[cut.tank])
        life = Life(piece, self.code(), day, made, cut.operator, cut.blade, purpose,
                    random.choice((0, 0, 1)), tray, place, lost, ready)  # fmt: skip
        self.write(day, at, "glue", ("piece", piece), {
            "cut": cut.key, "code": life.code, "base": made.base, "purpose": purpose,
            "mouths_kept": mouth, "size_mm": random.randint(16, 32), "encrustation": life.start,
            "tray": tray, "place": place, **arm,
        })  # fmt: skip
        self.lives.append(life)


def _tank(turn: int) -> int:
    """The tank of the cut of this number: the next one, and one further each time round, since
    species come round in fives and would else keep to their tanks."""
    return (turn + turn // len(TANKS)) % len(TANKS)


def choose_mothers(
    colonies: list[tuple[str, str]], lives: list[Life], number: int
) -> list[tuple[str, str]]:
    """The colonies whose turn it is, the last one giving way to a piece grown to be cut again."""
    turn = number * CUTS_A_SITTING
    chosen = [colonies[(turn + n) % len(colonies)] for n in range(CUTS_A_SITTING)]
    grown = next((x for x in lives if x.grown_on is not None and x.gone_on is None), None)
    return [*chosen[:-1], (grown.id, grown.species)] if grown else chosen


def sitting_days(today: date) -> list[date]:
    """The days at the saw before `today`; the newest is a month ago."""
    first, last = today - timedelta(days=HISTORY_DAYS), today - timedelta(days=28)
    count = (last - first).days // DAYS_BETWEEN
    return [first + timedelta(days=DAYS_BETWEEN * n) for n in range(count + 1)]
