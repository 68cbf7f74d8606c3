"""Writes fixtures/trials/draw.json, which both languages' tests run.

    python -m tests.planning.make_fixtures

cases  [{name, plan: {trial, seed, arms, parts}, mother, sequence: the first twelve arms,
         steps: [[arms that stand, the arm of the next piece]]}]
Values are Python's; `tests/planning/test_draw.py` works them out a second, different way.
"""

import json
from itertools import islice
from pathlib import Path
from random import Random
from typing import Any

from api.planning.draw import Plan, next_arm, sequence

SEED = 20_261_129
FILE = Path(__file__).parents[2] / "fixtures" / "trials" / "draw.json"
ARMS = (
    ("base.hex-40", "base.hex-50"), ("none", "part", "whole"), ("part", "whole"),
    ("method.band-saw", "method.rotary-tool"),
    ("base.a", "base.b", "base.c", "base.d", "base.e"),
)  # fmt: skip
CASES, SHOWN, STEPS = 24, 12, 6


def cases() -> list[dict[str, Any]]:
    random = Random(SEED)
    made = []
    for number in range(CASES):
        arms = ARMS[number % len(ARMS)]
        parts = arms[0].startswith("method.")
        plan = Plan(f"trial.{random.getrandbits(64):016x}", f"{random.getrandbits(128):032x}",
                    arms, parts)  # fmt: skip
        mother = f"{random.getrandbits(48):012x}-mother"
        drawn = list(islice(sequence(plan, mother), SHOWN))
        standing = [random.sample(drawn, random.randint(0, SHOWN)) for _ in range(STEPS)]
        made.append({
            "name": f"{number}: {len(arms)} arms",
            "plan": {"trial": plan.trial, "seed": plan.seed, "arms": list(arms), "parts": parts},
            "mother": mother, "sequence": drawn,
            "steps": [[arms, next_arm(plan, mother, arms)] for arms in standing],
        })  # fmt: skip
    return made


def content() -> str:
    lines = ",\n".join(json.dumps(case, separators=(",", ":")) for case in cases())
    return f'{{"seed": {SEED},\n"cases": [\n{lines}\n]}}\n'


def main() -> None:
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(content())


if __name__ == "__main__":
    main()
