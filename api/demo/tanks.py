"""Care of the raceways and tables: feeding, supplements, water changes and readings.

Half of the tanks are given amino acids besides: that is their regime, and what is true of it is in
`truth.REGIME_FACTOR`.
"""

from datetime import date, timedelta
from random import Random

from api.demo.diary import HOUR, Diary, local
from api.demo.people import KEEPER, ROUND, TANKS
from api.demo.truth import Regime

FEED = {"what": "feed", "name": "plankton", "amount": "30", "unit": "mL"}
SUPPLEMENT = {"what": "supplement", "name": "carbonate", "amount": "50", "unit": "mL"}
AMINO = {"what": "dose", "name": "amino acids", "amount": "5", "unit": "mL"}
GIVEN: dict[Regime, tuple[dict[str, str], ...]] = {
    "plain": (FEED, SUPPLEMENT),
    "amino": (FEED, SUPPLEMENT, AMINO),
}
EVERY_DAYS = 8
"""From one giving to the next; each tank has its own day of these."""
CHANGE_SHARE = 10
"""One part in ten of the water, every fourth week."""
BEFORE_DAYS = 40
"""So long before the first sitting the giving begins, so that the first pieces come into a regime.
"""


def tend(diary: Diary, random: Random, day: date, number: int) -> None:
    """The morning's work at the tanks whose turn it is on the day `number` of the farm."""
    for place, (tank, _, litres, regime) in enumerate(TANKS):
        at, subject, turn = local(day, 8) + place * HOUR // 8, ("tank", tank), number + place
        if turn % 14 == 0:
            body = {"readings": _readings(random)}
            diary.write(day, at, ROUND, KEEPER, "water", subject, body)
        if turn % EVERY_DAYS == 0:
            _give(diary, day, at, tank, regime)
        if turn % 28 == 10:
            change = {"what": "water-change", "amount": str(litres // CHANGE_SHARE), "unit": "L"}
            diary.write(day, at + 180_000, ROUND, KEEPER, "care", subject, change)


def tend_before(diary: Diary, first: date) -> None:
    """What the tanks were given before the `first` sitting, on the same days of eight."""
    for number in range(-BEFORE_DAYS, 0):
        day = first + timedelta(days=number)
        for place, (tank, _, _, regime) in enumerate(TANKS):
            if (number + place) % EVERY_DAYS == 0:
                _give(diary, day, local(day, 8) + place * HOUR // 8, tank, regime)


def _give(diary: Diary, day: date, at: int, tank: str, regime: Regime) -> None:
    for step, given in enumerate(GIVEN[regime]):
        moment = at + 30_000 * (step + 1)
        diary.write(day, moment, ROUND, KEEPER, "care", ("tank", tank), given)


def regime_words(regime: Regime) -> str:
    """What the report calls tanks of this regime: all they are given regularly."""
    return "; ".join(sorted(f"{given['what']} {given['name']}" for given in GIVEN[regime]))


def _readings(random: Random) -> list[dict[str, object]]:
    return [
        {"quantity": "alkalinity", "value": f"{7.4 + random.random():.2f}", "unit": "dKH"},
        {"quantity": "salinity", "value": f"{34.4 + random.random():.1f}", "unit": "g/kg",
         "at_c": "25"},
        {"quantity": "nitrate", "value": "2", "unit": "mg/L", "below": random.random() < 0.3},
    ]  # fmt: skip
