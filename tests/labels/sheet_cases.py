"""Writes fixtures/sheets/sheets.json: own geometries that fit their page and such that do not.

    python -m tests.labels.sheet_cases

Each case has the fields of an entry of list 'sheet' and whether it fits. The phone checks what is
typed before it is saved, the server checks what it prints on; both run this file.
"""

import json
from pathlib import Path
from random import Random

Case = dict[str, object]

PATH = Path(__file__).parents[2] / "fixtures" / "sheets" / "sheets.json"
SEED, COUNT = 20_261, 160
PAPERS = {"A4": (21_000, 29_700), "Letter": (21_590, 27_940)}
ROUNDING = 2
"""Hundredths of a millimetre that a page may be short of."""


def cases() -> list[Case]:
    random = Random(SEED)
    rolls: list[dict[str, object]] = [
        {"name": "x", "page": "roll", "label_width_hmm": 5000, "label_height_hmm": 2500},
        {"name": "x", "page": "roll", "label_width_hmm": 800, "label_height_hmm": 800},
        {"name": "x", "page": "round-roll", "label_width_hmm": 3000},
    ]
    fitting: list[Case] = [{"fields": fields, "fits": True} for fields in rolls]
    return [_sheet(random) for _ in range(COUNT)] + fitting


def _sheet(random: Random) -> Case:
    """A sheet that just fits, then one way moved by a little or by much, or not at all."""
    page = random.choice(["A4", "Letter", "own"])
    paper = PAPERS.get(page) or (random.randint(9000, 30_000), random.randint(9000, 40_000))
    across, down = _axis(random, paper[0]), _axis(random, paper[1])
    fields: dict[str, object] = {"name": "x", "page": page}
    if page == "own":
        fields |= {"page_width_hmm": paper[0], "page_height_hmm": paper[1]}
    names = (
        ("columns", "label_width", "pitch_x", "left"),
        ("rows", "label_height", "pitch_y", "top"),
    )
    for axis, (count, size, pitch, margin) in zip((across, down), names, strict=True):
        fields |= {count: axis[0], f"{size}_hmm": axis[1], f"{pitch}_hmm": axis[2],
                   f"{margin}_hmm": axis[3]}  # fmt: skip
    fits = all(_fits(axis, room) for axis, room in zip((across, down), paper, strict=True))
    return {"fields": fields, "fits": fits}


def _axis(random: Random, paper: int) -> tuple[int, int, int, int]:
    count = random.randint(1, 6)
    size = random.randint(1000, paper // count)
    pitch = random.randint(size, (paper - size) // max(1, count - 1)) if count > 1 else 0
    margin = paper - (count - 1) * pitch - size
    change = random.choice([0, 0, 0, 1, 2, 3, 500, -500])
    if random.random() < 0.2 and count > 1:
        return count, size, max(1, size - random.choice([1, 2, 3, 400])), margin
    return count, size, pitch, max(0, margin + change)


def _fits(axis: tuple[int, int, int, int], paper: int) -> bool:
    count, size, pitch, margin = axis
    apart = count == 1 or pitch >= size - ROUNDING
    return apart and margin + (count - 1) * pitch + size <= paper + ROUNDING


def write() -> None:
    PATH.parent.mkdir(parents=True, exist_ok=True)
    made = {"seed": SEED, "cases": cases()}
    PATH.write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
