"""Pictures of some of the invented pieces, drawn: a base, and tissue that grows over it.

The same piece keeps its outline from picture to picture, so that then and now can be compared.
"""

import hashlib
import math
from dataclasses import dataclass
from datetime import date, timedelta
from io import BytesIO
from random import Random

from PIL import Image, ImageDraw, ImageFilter

from api.database import Database
from api.demo.diary import Diary, local
from api.demo.life import Life
from api.demo.people import BENCH, KEEPER, LEAD, ROUND, SPECIES, species_key
from api.photos import rows
from api.photos.decode import Picture, decode
from api.photos.state import kept_row
from api.photos.store import SIZES, Store

PIECES = 9
WIDTH, HEIGHT, FINE = 480, 360, 2
"""Pixels of a picture, and how much finer it is drawn before it is made smaller."""
WATER, BASE, EDGE, MOUTH = (24, 44, 62), (176, 170, 160), (132, 126, 118), (40, 30, 34)
TISSUE = ((58, 170, 92), (196, 72, 60), (212, 138, 48), (120, 92, 188), (66, 150, 170))
"""A colour for each species, in their order."""
SMALLEST, GROWTH = 0.3, 0.58
"""Shares of the base's half width that the tissue reaches when it is cut, and grows by."""


@dataclass(frozen=True)
class Shot:
    """One picture as the phone has it, and when it was taken (UTC ms)."""

    at: int
    jpeg: bytes

    @property
    def sha256(self) -> str:
        """What its record names it by."""
        return hashlib.sha256(self.jpeg).hexdigest()


def take_pictures(diary: Diary, lives: list[Life], last: date) -> list[Shot]:
    """Three pictures of each of some pieces that are still there: glued, half healed, now."""
    here = [life for life in lives if life.gone_on is None and life.records]
    chosen = here[:: max(1, len(here) // PIECES)][:PIECES]
    shots = []
    for number, life in enumerate(chosen):
        whole = (last - life.cut_day).days
        half = min(whole // 2, max(2, round((life.ready_day or whole) / 2)))
        for days in (0, half, whole):
            at = local(life.cut_day + timedelta(days=days), 15) + number * 60_000
            shots.append(Shot(at, draw(life, days)))
            _write(diary, life, shots[-1], days)
    return shots


async def keep_pictures(db: Database, store: Store, shots: list[Shot]) -> None:
    """Keep them as if they had been sent; they are our own, so no worker need read them."""
    for shot in shots:
        picture = decode(shot.jpeg)
        assert isinstance(picture, Picture), picture
        for size, jpeg in zip(SIZES, (picture.full, picture.small), strict=True):
            await store.put(shot.sha256, size, jpeg)
        await rows.keep_row(db, kept_row(shot.sha256, picture, shot.at))


def _write(diary: Diary, life: Life, shot: Shot, days: int) -> None:
    """The record: by the bench's phone on the day of the cut, by the round's later."""
    body: dict[str, object] = {
        "sha256": shot.sha256, "bytes": len(shot.jpeg), "media": "image/jpeg",
    }  # fmt: skip
    device, staff = (ROUND, KEEPER) if days else (BENCH, LEAD)
    if not days:
        body["day0"] = True
    day = life.cut_day + timedelta(days=days)
    diary.write(day, shot.at, device, staff, "photo", ("piece", life.id), body)


def draw(life: Life, days: int) -> bytes:
    """A piece `days` after its cut, seen from above, as JPEG."""
    size = (WIDTH * FINE, HEIGHT * FINE)
    image = Image.new("RGB", size, WATER)
    pen, middle, half = ImageDraw.Draw(image), (size[0] / 2, size[1] / 2), size[1] * 0.42
    base = _hexagon(middle, half)
    pen.polygon(base, fill=BASE, outline=EDGE, width=6 * FINE)
    dice, share = Random(life.id), life.healed(days)
    waves = [(n, dice.uniform(0.02, 0.08), dice.uniform(0, 2 * math.pi)) for n in (2, 3, 5)]
    colour = TISSUE[[species_key(name) for name, *_ in SPECIES].index(life.species)]
    radius = half * (SMALLEST + GROWTH * share)
    pen.polygon(_outline(middle, radius, waves), fill=_lighter(colour, 0.35))
    pen.polygon(_outline(middle, radius * 0.92, waves), fill=colour)
    _polyps(pen, middle, radius * 0.85, colour, dice)
    if share >= 0.5:
        _mouth(pen, middle, radius * 0.2)
    # Made smaller first: blurring a quarter of the pixels takes a quarter of the time.
    soft = image.resize((WIDTH, HEIGHT)).filter(ImageFilter.GaussianBlur(1))
    file = BytesIO()
    soft.save(file, "JPEG", quality=85)
    return file.getvalue()


Point = tuple[float, float]


def _hexagon(middle: Point, half: float) -> list[Point]:
    corners = [math.pi / 3 * n for n in range(6)]
    return [(middle[0] + half * math.cos(a), middle[1] + half * math.sin(a)) for a in corners]


def _outline(middle: Point, radius: float, waves: list[tuple[int, float, float]]) -> list[Point]:
    points = []
    for step in range(120):
        angle = 2 * math.pi * step / 120
        reach = radius * (1 + sum(w * math.sin(n * angle + phase) for n, w, phase in waves))
        reach = min(reach, radius * 1.1)
        x, y = middle[0] + reach * math.cos(angle), middle[1] + reach * math.sin(angle) * 0.92
        points.append((x, y))
    return points


def _polyps(
    pen: ImageDraw.ImageDraw,
    middle: Point,
    reach: float,
    colour: tuple[int, int, int],
    dice: Random,
) -> None:
    """Paler spots, by the golden angle, so that each new one lies where there is most room."""
    spot, turn = 5 * FINE, dice.uniform(0, 2 * math.pi)
    count = round((reach / (4 * spot)) ** 2 * 4)
    for number in range(count):
        away = reach * math.sqrt((number + 0.5) / count)
        angle = turn + number * math.pi * (3 - math.sqrt(5))
        x, y = middle[0] + away * math.cos(angle) * 0.9, middle[1] + away * math.sin(angle) * 0.82
        pen.ellipse((x - spot, y - spot, x + spot, y + spot), fill=_lighter(colour, 0.25))


def _mouth(pen: ImageDraw.ImageDraw, middle: Point, half: float) -> None:
    box = (middle[0] - half, middle[1] - half / 3, middle[0] + half, middle[1] + half / 3)
    pen.ellipse(box, fill=MOUTH)


def _lighter(colour: tuple[int, int, int], share: float) -> tuple[int, int, int]:
    red, green, blue = (round(part + (255 - part) * share) for part in colour)
    return red, green, blue
