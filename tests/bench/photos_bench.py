"""Photos: what reading one costs, what a line that breaks costs, how many come in in a second."""

import random
import tempfile
import time
from pathlib import Path

from api.photos.decode import Picture, decode
from tests.bench.measure import Measure
from tests.photos import pictures
from tests.photos.line import PART, Line, link
from tests.photos.test_bad_line import CUTS, UNDER_WAY, large_photo, named, place
from tests.server.running import started

RUNS, PHOTOS = 3, 20


def _read_12_megapixels() -> float:
    """CPU seconds of making one again, in this process; the best of a few."""
    photo = pictures.noisy(4000, 3000, quality=90)
    spent = []
    for _ in range(RUNS):
        start = time.process_time()
        assert isinstance(decode(photo), Picture)
        spent.append(time.process_time() - start)
    return min(spent)


def _send(line: Line, name: str, photo: bytes) -> None:
    state = line.state(name)
    while state["state"] != "kept":
        at = state["received"]
        status, state = line.part(name, at, photo[at : at + PART])
        assert status == 200, state


def _bad_line(line: Line, folder: Path) -> float:
    """The share of a 5 MB photo that goes twice over a line that breaks 20 times, in per cent."""
    photo, dice = large_photo(), random.Random(23)
    name, before = named(folder, folder / "nubbin.sqlite", photo), line.sent
    for _ in range(CUTS):
        at = line.state(name)["received"]
        part, lost = photo[at : at + PART], dice.randrange(UNDER_WAY)
        line.cut(name, at, part, dice.randrange(1, len(part) - lost), lost=lost)
    _send(line, name, photo)
    return 100 * (line.sent - before - len(photo)) / len(photo)


def _rate(line: Line, folder: Path) -> float:
    """Photos a second of one phone, each as a phone shrinks it, reading and storing included."""
    photos = [pictures.noisy(1400, 1050, seed=seed, quality=40) for seed in range(PHOTOS)]
    names = [named(folder, folder / "nubbin.sqlite", photo, 60_001 + number)
             for number, photo in enumerate(photos)]  # fmt: skip
    start = time.perf_counter()
    for name, photo in zip(names, photos, strict=True):
        _send(line, name, photo)
    return PHOTOS / (time.perf_counter() - start)


def measures() -> list[Measure]:
    """Against a real server on SQLite, on this machine."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        place(folder, folder / "nubbin.sqlite")
        with started("serve", "--data", folder, "--port", "0") as (_, first):
            line = Line(*link(first))
            again, rate = _bad_line(line, folder), _rate(line, folder)
    return [
        Measure("12-megapixel photo made again", _read_12_megapixels(), 1.0, "s of CPU", "lower"),
        Measure("5 MB photo sent again over 20 breaks", again, 10, "%", "lower"),
        Measure("photos taken in from one phone", rate, None, "photos/s", "higher"),
    ]
