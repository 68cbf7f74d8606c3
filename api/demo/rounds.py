"""Rounds of the tanks: checks of each piece, sweeps of trays, what is ready, lost or sold."""

from datetime import date, timedelta
from random import Random

from api.demo.diary import HOUR, Diary, local
from api.demo.life import Life, look
from api.demo.people import KEEPER, LEAD, ROUND, TANKS

EVERY = 8
SWEEP_AFTER = 4
SOLD_AFTER = 30
GROWN_AFTER = 60
CHECK_MS = 14_000


class Rounds:
    """Goes round the living pieces day by day, and writes down what it sees."""

    def __init__(self, diary: Diary, random: Random) -> None:
        self.diary, self.random = diary, random

    def write(self, day: date, at: int, kind: str, piece: str, body: object) -> str:
        """A record made on the round by the keeper."""
        return self.diary.write(day, at, ROUND, KEEPER, kind, ("piece", piece), body)  # type: ignore[arg-type]

    def go(self, day: date, lives: list[Life], number: int) -> None:
        """What happens on one day: a full round, a sweep of what is open, or sales."""
        at = local(day, 11)
        for life in lives:
            if life.gone_on is not None or life.cut_day >= day:
                continue
            at += CHECK_MS
            if life.ready_on is not None:
                self._after_ready(day, at, life)
            elif number % EVERY == 0:
                self._visit(day, at, life)
            elif number % EVERY == SWEEP_AFTER and self.random.random() < 0.5:
                self._sweep(day, at, life)

    def _visit(self, day: date, at: int, life: Life) -> None:
        days = (day - life.cut_day).days
        if life.lost_day is not None and days >= life.lost_day:
            self._lose(day, at, life)
        elif self.random.random() < 0.1 or life.missed:
            return
        elif life.ready_day is not None and days >= life.ready_day:
            body = look(self.random, life, days)
            life.records.append(self.write(day, at, "check", life.id, body))
            self.write(day, at + 4000, "ready", life.id, {"for": "sale"})
            life.ready_on = day
        else:
            body = look(self.random, life, days)
            life.records.append(self.write(day, at, "check", life.id, body))

    def _sweep(self, day: date, at: int, life: Life) -> None:
        days = (day - life.cut_day).days
        if life.missed or (life.lost_day is not None and days >= life.lost_day):
            return
        self.write(day, at, "check", life.id, {"swept": True, "planned": True})

    def _lose(self, day: date, at: int, life: Life) -> None:
        if self.random.random() < 0.1:
            body = {"how": "missing"}
        else:
            sign, cause = self.random.choice((
                ("bare", "acute-tissue-loss"), ("film", "slow-recession"),
                ("sloughing", "sloughing"), ("bleached", "bleaching"),
                ("overgrown", "algal-overgrowth"), ("gone", "detachment"), ("skeleton", "unknown"),
            ))  # fmt: skip
            body = {"how": "dead", "sign": sign, "cause": f"cause.{cause}"}
        life.records.append(self.write(day, at, "loss", life.id, body))
        life.gone_on = day

    def _after_ready(self, day: date, at: int, life: Life) -> None:
        assert life.ready_on is not None
        waited = (day - life.ready_on).days
        if life.purpose == "sale" and waited > 3 and self.random.random() < 1 / SOLD_AFTER:
            how = "given" if self.random.random() < 0.05 else "dispatched"
            self.write(day, at, "exit", life.id, {"how": how, "to": f"Order {waited * 7 + 100}"})
            life.gone_on = day
        elif life.purpose == "hold" and waited == GROWN_AFTER:
            self.write(day, at, "ready", life.id, {"for": "cut"})
            life.grown_on = day
        elif waited and waited % 28 == 0:
            self.write(day, at, "check", life.id, {"swept": True, "planned": True})

    def tend(self, day: date, number: int) -> None:
        """Feeding, top-ups and water readings of both raceways."""
        for place, (tank, _, _) in enumerate(TANKS):
            at = local(day, 8) + place * HOUR // 4
            subject = ("tank", tank)
            if number % 7 == 0:
                body = {"readings": [
                    {"quantity": "alkalinity", "value": f"{7.4 + self.random.random():.2f}",
                     "unit": "dKH"},
                    {"quantity": "salinity", "value": f"{34.4 + self.random.random():.1f}",
                     "unit": "g/kg", "at_c": "25"},
                    {"quantity": "nitrate", "value": "2", "unit": "mg/L",
                     "below": self.random.random() < 0.3},
                ]}  # fmt: skip
                self.diary.write(day, at, ROUND, KEEPER, "water", subject, body)
            if number % 3 == 0:
                feed = {"what": "feed", "name": "fine plankton", "amount": "30", "unit": "mL"}
                self.diary.write(day, at + 60_000, ROUND, KEEPER, "care", subject, feed)

    def odd_things(self, day: date, lives: list[Life]) -> None:
        """What happens on farms: slips taken back, a piece found again, a label bound twice."""
        at, random = local(day, 16), self.random
        open_ones = [x for x in lives if x.gone_on is None and x.records]
        gone = [x for x in lives if x.gone_on is not None and x.lost_day is not None]
        for life in random.sample(open_ones, 3):
            slip = self.write(day, at, "check", life.id, {"recession": "more"})
            self.diary.write(day, at + 9000, ROUND, KEEPER, "retract", ("record", slip),
                             {"why": "tapped the wrong piece"})  # fmt: skip
            at += HOUR // 60
        found = random.choice(gone)
        self.write(day, at, "check", found.id, {"mouth": "bud", "recession": "half"})
        first, second = random.sample(open_ones, 2)
        self.write(day, at + 60_000, "bind", first.id, {"code": second.code})
        self.write(day, at + 70_000, "note", second.id, {"text": "Brighter green on the rim."})
        self.write(day, at + 80_000, "purpose", second.id, {"purpose": "hold"})
        self.write(day, at + 90_000, "move", second.id, {"tray": second.tray, "place": "P12"})
        self.diary.write(day, at + 95_000, ROUND, LEAD, "move", ("tray", second.tray),
                         {"tank": "tank.south"})  # fmt: skip


def days_between(first: date, last: date) -> list[date]:
    """Every day from `first` to `last`, both included."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
