"""Care of the raceways: feeding, supplements, water changes and readings."""

from datetime import date
from random import Random

from api.demo.diary import HOUR, Diary, local
from api.demo.people import KEEPER, ROUND, TANKS

FEED = {"what": "feed", "name": "fine plankton", "amount": "30", "unit": "mL"}
SUPPLEMENT = {"what": "supplement", "name": "calcium and carbonate", "amount": "50", "unit": "mL"}
CHANGE_SHARE = 10
"""One part in ten of the water, every other week."""


def tend(diary: Diary, random: Random, day: date, number: int) -> None:
    """The morning's work at every raceway on the day `number` of the year."""
    for place, (tank, _, litres) in enumerate(TANKS):
        at, subject = local(day, 8) + place * HOUR // 4, ("tank", tank)
        if number % 7 == 0:
            body = {"readings": _readings(random)}
            diary.write(day, at, ROUND, KEEPER, "water", subject, body)
            diary.write(day, at + 30_000, ROUND, KEEPER, "care", subject, SUPPLEMENT)
        if number % 3 == 0:
            diary.write(day, at + 60_000, ROUND, KEEPER, "care", subject, FEED)
        if number % 14 == 10:
            change = {"what": "water-change", "amount": str(litres // CHANGE_SHARE), "unit": "L"}
            diary.write(day, at + 90_000, ROUND, KEEPER, "care", subject, change)


def _readings(random: Random) -> list[dict[str, object]]:
    return [
        {"quantity": "alkalinity", "value": f"{7.4 + random.random():.2f}", "unit": "dKH"},
        {"quantity": "salinity", "value": f"{34.4 + random.random():.1f}", "unit": "g/kg",
         "at_c": "25"},
        {"quantity": "nitrate", "value": "2", "unit": "mg/L", "below": random.random() < 0.3},
    ]  # fmt: skip
