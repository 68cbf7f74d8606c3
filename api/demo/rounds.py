"""Rounds of the tanks: checks of each piece, sweeps of trays, what is ready, lost or sold."""

from collections.abc import Mapping
from datetime import date
from random import Random
from typing import Any

from api.demo.diary import Diary, local
from api.demo.life import Life, how_found, look, night_look
from api.demo.people import KEEPER, ROUND, TRAYS, tray_key

GAP = (7, 10)
SWEEP_AFTER = 4
SOLD_AFTER = 30
GROWN_AFTER, GROWN_AGE = 30, 183
CHECK_MS = 14_000
OVERLOOKED, NOT_FOUND, GIVEN_UP, LATE_LOSS = 0.1, 0.002, 0.0015, 0.0004
"""Chances that have nothing to do with a piece's fate, so that they do not bend the estimates: a
visit that passes it by, calls it missing though it stands elsewhere, gives it away unhealed; and a
day on which a ready piece is lost."""
SIGNS_AND_CAUSES = (
    ("bare", "acute-tissue-loss"), ("film", "slow-recession"), ("sloughing", "sloughing"),
    ("bleached", "bleaching"), ("overgrown", "algal-overgrowth"), ("gone", "detachment"),
    ("skeleton", "unknown"), ("brown-jelly", "acute-tissue-loss"),
)  # fmt: skip


COLOUR_NOTED = 0.02
COLOURS = (
    "Green rim, brown heart",
    "Orange stronger than its mother's",
    "Paler under the new light",
    "Two tones, purple at the edge",
)


class Rounds:
    """Goes round the living pieces day by day, and writes down what it sees."""

    def __init__(self, diary: Diary, random: Random) -> None:
        self.diary, self.random = diary, random
        self.due, self.sweep_due, self.done = GAP[0], -1, 0
        # A source of its own: what is seen besides must not bend any fate.
        self.eyes = Random(7)

    def write(self, day: date, at: int, kind: str, piece: str, body: Mapping[str, Any]) -> str:
        """A record made on the round by the keeper."""
        return self.diary.write(day, at, ROUND, KEEPER, kind, ("piece", piece), body)

    def go(self, day: date, lives: list[Life], number: int) -> None:
        """What happens on one day: a full round, a sweep of some trays, or sales."""
        full = number >= self.due
        if full:
            self.due, self.sweep_due = number + self.random.randint(*GAP), number + SWEEP_AFTER
        swept = {tray_key(tray) for tray in TRAYS if self.random.random() < 0.6}
        at, healing = local(day, 11), []
        for life in lives:
            if life.gone_on is not None or life.cut_day >= day:
                continue
            at += CHECK_MS
            if life.ready_on is not None:
                self._after_ready(day, at, life)
            elif full and self._visit(day, at, life):
                healing.append(life)
            elif number == self.sweep_due and life.tray in swept:
                self._sweep(day, at, life)
        if full:
            self._night(day, healing)

    def _visit(self, day: date, at: int, life: Life) -> bool:
        """One piece's turn; True if it was looked at and goes on healing."""
        days, chance = (day - life.cut_day).days, self.random.random()
        if life.missed:
            return False
        if life.is_lost(days):
            self._lose(day, at, life)
        elif chance < OVERLOOKED + NOT_FOUND + GIVEN_UP:
            self._pass_by(day, at, life, chance)
        else:
            body = look(self.random, life, days) | {"found": how_found(self.eyes, days)}
            life.records.append(self.write(day, at, "check", life.id, body))
            self._note_colour(day, at + 2000, life)
            if life.ready_day is None or days < life.ready_day:
                return True
            self.write(day, at + 4000, "ready", life.id, {"for": "sale"})
            life.ready_on = day
        return False

    def _note_colour(self, day: date, at: int, life: Life) -> None:
        if self.eyes.random() < COLOUR_NOTED:
            text = self.eyes.choice(COLOURS)
            self.write(day, at, "note", life.id, {"text": text, "about": "colour"})

    def _pass_by(self, day: date, at: int, life: Life, chance: float) -> None:
        if chance < NOT_FOUND:
            self.write(day, at, "loss", life.id, {"how": "missing"})
        elif chance < NOT_FOUND + GIVEN_UP:
            self.write(day, at, "exit", life.id, {"how": "culled"})
            life.gone_on = day

    def _night(self, day: date, healing: list[Life]) -> None:
        """Every other round some are seen again in the evening, when the lights are off."""
        self.done += 1
        at = local(day, 19.5)
        for life in healing if self.done % 2 else []:
            body = night_look(self.random, life, (day - life.cut_day).days)
            if body is not None and self.random.random() < 0.4:
                at += CHECK_MS
                self.write(day, at, "check", life.id, body)

    def _sweep(self, day: date, at: int, life: Life) -> None:
        if not life.missed and not life.is_lost((day - life.cut_day).days):
            self.write(day, at, "check", life.id, {"swept": True, "planned": True})

    def _lose(self, day: date, at: int, life: Life) -> None:
        body = {"how": "missing"}
        if self.random.random() >= 0.1:
            sign, cause = self.random.choice(SIGNS_AND_CAUSES)
            body = {"how": "dead", "sign": sign, "cause": f"cause.{cause}"}
        self.write(day, at, "loss", life.id, body)
        life.gone_on = day

    def _after_ready(self, day: date, at: int, life: Life) -> None:
        assert life.ready_on is not None
        waited = (day - life.ready_on).days
        if self.random.random() < LATE_LOSS:
            self._lose(day, at, life)
        elif life.purpose == "sale" and waited > 3 and self.random.random() < 1 / SOLD_AFTER:
            how = "given" if self.random.random() < 0.05 else "dispatched"
            self.write(day, at, "exit", life.id, {"how": how, "to": f"Order {waited * 7 + 100}"})
            life.gone_on = day
        elif life.grown_on is None and self._is_grown(day, life, waited):
            self.write(day, at, "ready", life.id, {"for": "cut"})
            life.grown_on = day
        elif waited and waited % 28 == 0:
            self.write(day, at, "check", life.id, {"swept": True, "planned": True})

    def _is_grown(self, day: date, life: Life, waited: int) -> bool:
        """Held back, a month past healed, and half a year old (common practice, no source)."""
        old = (day - life.cut_day).days >= GROWN_AGE
        return life.purpose == "hold" and waited >= GROWN_AFTER and old
