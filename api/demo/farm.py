"""Building the invented farm, through the same push that phones use."""

from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from api.access.tables import Device, Staff
from api.database import Database
from api.demo.diary import Diary, local
from api.demo.life import Life
from api.demo.people import (
    BENCH,
    DEVICES,
    EMPTY_TRAY,
    KEEPER,
    LEAD,
    PEOPLE,
    TANKS,
    TRAYS,
    lists,
    tray_key,
)
from api.demo.pictures import keep_pictures, take_pictures
from api.demo.rounds import Rounds
from api.demo.saws import blades
from api.demo.sittings import TRIAL_SITTINGS, Bench, choose_mothers, sitting_days
from api.demo.slips import slips
from api.demo.tanks import tend, tend_before
from api.labelling.tables import LabelCode
from api.photos.store import Store
from labels import make_code

BEGUN_DAYS = 45
"""From the farm's first day to its first sitting."""
UNBOUND = 24
FORGOTTEN_SITTING, NEVER_CHECKED = 4, 3


@dataclass(frozen=True)
class DemoFacts:
    """What was built: counts, the owner's key, codes that are not yet on a piece, and what only
    the simulator knows of each piece."""

    records: int
    pieces: int
    owner: str
    unbound: list[str]
    answers: dict[str, int]
    lives: list[Life]


async def build(
    db: Database, today: date | None = None, seed: int = 20_251, store: Store | None = None
) -> DemoFacts:
    """Fill an empty database with the months up to `today`; the same seed, the same records.

    store  where its pictures are kept; without one they are still on the phones that took them
    """
    today = today or date.today()
    diary = Diary(Random(f"{seed} ids"))
    bench = Bench(diary, Random(f"{seed} fates"))
    rounds = Rounds(diary, Random(f"{seed} rounds"))
    first = sitting_days(today)[0]
    begun = first - timedelta(days=BEGUN_DAYS)
    _define(diary, begun)
    mothers = bench.arrive(first - timedelta(days=20))
    _live(bench, rounds, mothers, today)
    shots = take_pictures(diary, bench.lives, today - timedelta(days=1))
    unbound = [make_code(diary.random) for _ in range(UNBOUND)]
    await _people(db, local(begun, 8))
    await _codes(db, [*bench.codes, *unbound], local(begun, 9))
    # Last of all, so that every other record has the id it would have without.
    tend_before(diary, first)
    answers = await diary.send(db)
    if store is not None:
        await keep_pictures(db, store, shots)
    records = sum(len(page) for page in diary.pages.values())
    return DemoFacts(records, len(bench.lives) + len(mothers), PEOPLE[0][0], unbound, answers,
                     bench.lives)  # fmt: skip


def _define(diary: Diary, day: date) -> None:
    at = local(day, 9)
    for key, name, fields in [*lists(), *blades()]:
        at += 1000
        body = {"list": name, "fields": fields}
        diary.write(day, at, BENCH, LEAD, "define", ("item", key), body)
    tanks = [key for key, *_ in TANKS]
    for number, (tray, tank) in enumerate(
        zip((*TRAYS, EMPTY_TRAY), (*tanks, tanks[0]), strict=True)
    ):
        diary.write(day, at + 1000 * (number + 1), BENCH, LEAD, "move",
                    ("tray", tray_key(tray)), {"tank": tank})  # fmt: skip


def _live(bench: Bench, rounds: Rounds, mothers: list[tuple[str, str]], today: date) -> None:
    sittings = {day: number for number, day in enumerate(sitting_days(today))}
    last = today - timedelta(days=1)
    for number in range((last - min(sittings)).days + 1):
        day = min(sittings) + timedelta(days=number)
        tend(rounds.diary, rounds.random, day, number)
        if sittings.get(day) == len(sittings) - TRIAL_SITTINGS:
            bench.begin_trial(day)
        if day in sittings:
            chosen = choose_mothers(mothers, bench.lives, sittings[day])
            bench.sit(day, chosen, sittings[day])
        if sittings.get(day) == FORGOTTEN_SITTING:
            for life in bench.lives[-NEVER_CHECKED:]:
                life.missed = True
        rounds.go(day, bench.lives, number)
    slips(bench, rounds, last)


async def _people(db: Database, at: int) -> None:
    async with db.write():
        await Staff.insert(*(
            Staff(id=key, name=name, role=role, made_at=at) for key, name, role in PEOPLE
        ))  # fmt: skip
        await Device.insert(*(Device(id=key, name=name, made_at=at) for key, name in DEVICES))


async def _codes(db: Database, codes: list[str], at: int) -> None:
    async with db.write():
        for start in range(0, len(codes), 500):
            await LabelCode.insert(*(
                LabelCode(code=code, minted_at=at, batch="demo", staff=KEEPER)
                for code in codes[start : start + 500]
            ))  # fmt: skip
