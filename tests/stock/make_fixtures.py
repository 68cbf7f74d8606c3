"""Writes fixtures/fold/*.json and fixtures/days/days.json, which both languages' tests run.

    python -m tests.stock.make_fixtures

fold/hand.json, fold/random.json
    envelope  what every record of the file has in common
    cases     [{name, zone, piece, retracted: [id], entries: [{at, id, kind, subject, body}],
               state: the whole PieceState, in random.json only what is not at rest}]
fold/lists.json
    cases     [{name, item, retracted, entries, expected: {list, fields, retired, tank}}]
fold/lineage.json
    cases     [{name, settings, cuts: {cut: mother}, pieces: {id: how it began},
               expected: {id: {species, line, number: {base, plus}}}}]
days/days.json
    cases     [{name, zone, at, day}];  between  [[from, to, days]]

Expected values of hand-written cases are the hand's; those of random ones are Python's.
"""

import json
from pathlib import Path
from random import Random
from typing import Any

import msgspec

from api.stock.fold import fold, local_day
from api.stock.state import PieceState
from tests.stock import day_cases, list_cases
from tests.stock.random_cases import ZONES, build, draws
from tests.stock.records import PIECE, RawEntry, decoded, record_id
from tests.stock.test_fold import CASES

SEED = 20260301
RANDOM_FOLDS = 200
RANDOM_DAYS = 400
FIXTURES = Path(__file__).parents[2] / "fixtures"
SHORT = ("id", "kind", "subject", "body")

Body = dict[str, Any]


def short(entries: list[RawEntry]) -> list[Body]:
    """Entries without what all of them have in common."""
    return [
        {"at": e["at"]} | {name: e["record"][name] for name in SHORT} for e in entries
    ]  # fmt: skip


def envelope() -> Body:
    record = build([(0, "note", 0)])[0]["record"]
    return {name: value for name, value in record.items() if name not in SHORT}


def hand_folds() -> list[Body]:
    return [
        {
            "name": case.name, "zone": case.zone, "piece": PIECE, "retracted": sorted(case.gone),
            "entries": short(case.entries), "state": msgspec.to_builtins(case.expected),
        }
        for case in CASES
    ]  # fmt: skip


def random_folds(random: Random) -> list[Body]:
    made = []
    for number in range(1, RANDOM_FOLDS + 1):
        entries = build(draws(random))
        gone = {e["record"]["id"] for e in entries if random.random() < 0.1}
        zone = random.choice(ZONES)
        state = fold(PIECE, decoded(entries), gone, zone)
        made.append({
            "name": f"random {number}", "zone": zone, "piece": PIECE, "retracted": sorted(gone),
            "entries": short(random.sample(entries, len(entries))),
            "state": told(state),
        })  # fmt: skip
    return made


def told(state: PieceState) -> Body:
    """What of a state differs from that of a piece of which nothing is known."""
    rest = msgspec.to_builtins(PieceState(id=PIECE))
    now: Body = msgspec.to_builtins(state)
    return {name: value for name, value in now.items() if value != rest[name]}


def lists() -> list[Body]:
    return [
        {"name": name, "item": list_cases.TRAY, "retracted": [record_id(n) for n in gone],
         "entries": short(entries), "expected": expected}
        for name, entries, gone, expected in list_cases.LISTS
    ]  # fmt: skip


def days(random: Random) -> list[Body]:
    return day_cases.hand() + [
        {"name": f"random {number}", "zone": zone, "at": at, "day": local_day(at, zone)}
        for number, (zone, at) in enumerate(day_cases.random_moments(random, RANDOM_DAYS), 1)
    ]


def content() -> dict[str, str]:
    """Every file's path under `fixtures/` and its text: one case a line."""
    common = {"envelope": envelope()}
    return {
        "fold/hand.json": _text(common, cases=hand_folds()),
        "fold/random.json": _text({"seed": SEED, **common}, cases=random_folds(Random(SEED))),
        "fold/lists.json": _text(common, cases=lists()),
        "fold/lineage.json": _text({}, cases=list_cases.LINEAGE),
        "days/days.json": _text(
            {"seed": SEED}, cases=days(Random(SEED)), between=[list(b) for b in day_cases.BETWEEN]
        ),
    }


def _text(head: Body, **tables: list[Any]) -> str:
    parts = [f"{json.dumps(name)}: {json.dumps(value)}" for name, value in head.items()]
    for name, rows in tables.items():
        lines = ",\n".join(json.dumps(row, separators=(",", ":")) for row in rows)
        parts.append(f"{json.dumps(name)}: [\n{lines}\n]")
    return "{" + ",\n".join(parts) + "}\n"


def main() -> None:
    for name, text in content().items():
        path = FIXTURES / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)


if __name__ == "__main__":
    main()
