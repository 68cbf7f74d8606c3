"""The invented farm: the same each time, nothing refused, nothing that replay would change."""

from collections import Counter, defaultdict
from collections.abc import AsyncIterator
from datetime import date, datetime
from itertools import pairwise
from pathlib import Path
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import msgspec
import pytest

from api.database import Database, open_database
from api.demo.farm import UNBOUND, DemoFacts, build
from api.demo.people import DEVICES, PEOPLE, ZONE
from api.demo.truth import METHODS
from api.records.clock import milliseconds
from api.records.kinds import SUBJECTS
from api.stock.lineage import Kinship, descent, kin_of
from api.stock.lists import Facility
from api.stock.projection import decode_state
from api.stock.replay import replay
from api.stock.state import PieceState

pytestmark = pytest.mark.anyio
TODAY = date(2026, 11, 25)


class Farm(NamedTuple):
    """One farm built, its records in the log's order, and its pieces' states."""

    db: Database
    facts: DemoFacts
    records: list[dict[str, Any]]
    states: dict[str, PieceState]

    def of(self, kind: str) -> list[dict[str, Any]]:
        return [record for record in self.records if record["kind"] == kind]


@pytest.fixture(scope="module")
async def farm(tmp_path_factory: pytest.TempPathFactory) -> AsyncIterator[Farm]:
    db = await open_database(tmp_path_factory.mktemp("farm") / "demo.sqlite")
    facts = await build(db, TODAY)
    log = await db.rows("SELECT record FROM log ORDER BY seq")
    pieces = await db.rows("SELECT id, state FROM piece")
    yield Farm(db, facts, [msgspec.json.decode(row["record"]) for row in log],
               {row["id"]: decode_state(row["state"]) for row in pieces})  # fmt: skip
    await db.close()


async def test_nothing_is_refused_and_replay_finds_no_difference(farm: Farm) -> None:
    facts = farm.facts
    assert facts.answers == {"stored": facts.records}
    again = await replay(farm.db)
    assert (again.records, again.pieces, again.differences) == (facts.records, facts.pieces, [])


async def test_the_farm_has_the_promised_size_and_every_kind_of_record(farm: Farm) -> None:
    cuts = farm.of("cut")
    assert {record["kind"] for record in farm.records} == set(SUBJECTS)
    assert 12 <= len({cut["body"]["sitting"] for cut in cuts}) <= 16
    assert len(cuts) >= 40
    assert 350 <= farm.facts.pieces <= 500
    assert 6000 <= farm.facts.records <= 14_000


async def test_the_same_seed_gives_the_same_log_and_another_seed_another(tmp_path: Path) -> None:
    logs = []
    for name, seed in (("one", 5), ("two", 5), ("three", 6)):
        db = await open_database(tmp_path / f"{name}.sqlite")
        await build(db, TODAY, seed)
        logs.append(await db.rows("SELECT seq, at, digest FROM log ORDER BY seq"))
        await db.close()
    assert logs[0] == logs[1]
    assert logs[0] != logs[2]


async def test_two_phones_number_their_records_without_gaps_and_at_the_time_seen(
    farm: Farm,
) -> None:
    numbers: dict[str, list[int]] = defaultdict(list)
    for record in farm.records:
        numbers[record["device"]].append(record["device_seq"])
    assert numbers == {key: list(range(1, len(numbers[key]) + 1)) for key, _ in DEVICES}
    seen = {record["id"]: milliseconds(record["observed"]["at"]) for record in farm.records}
    assert {row["id"]: row["at"] for row in await farm.db.rows("SELECT id, at FROM log")} == seen
    assert {record["staff"] for record in farm.records} <= {key for key, _, _ in PEOPLE}
    newest = max(record["observed"]["at"] for record in farm.records)
    assert newest[:10] == "2026-11-24"


async def test_every_code_was_minted_and_some_wait_to_be_bound(farm: Farm) -> None:
    minted = {row["code"] for row in await farm.db.rows("SELECT code FROM label_code")}
    used = {claim.code for state in farm.states.values() for claim in state.codes}
    assert minted - used == set(farm.facts.unbound)
    assert len(farm.facts.unbound) == UNBOUND
    assert used < minted
    claims = Counter(claim.code for state in farm.states.values() for claim in state.codes)
    assert sorted(claims.values())[-3:] == [1, 2, 2]


async def test_three_people_take_turns_at_the_saw_a_sitting_each(farm: Farm) -> None:
    by_sitting: dict[str, set[str]] = defaultdict(set)
    for cut in farm.of("cut"):
        by_sitting[cut["body"]["sitting"]].add(cut["body"]["operator"])
    assert {len(who) for who in by_sitting.values()} == {1}
    turns = Counter(name for who in by_sitting.values() for name in who)
    assert set(turns) == {name for _, name, _ in PEOPLE}
    assert min(turns.values()) >= 5


async def test_each_saw_has_three_blades_one_after_another_and_each_wears(farm: Farm) -> None:
    """Seven cuts from new to worn, then the next; no blade comes back."""
    items = {
        row["id"]: msgspec.json.decode(row["fields"])
        for row in await farm.db.rows("SELECT id, fields FROM item WHERE \"list\" = 'blade'")
    }
    cuts = sorted(farm.of("cut"), key=lambda cut: cut["observed"]["at"])
    for method in METHODS:
        used = [(cut["body"]["blade"], cut["body"]["blade_state"]) for cut in cuts
                if cut["body"]["method"] == method.key]  # fmt: skip
        order = list(dict.fromkeys(blade for blade, _ in used))
        assert order == sorted(
            key for key, fields in items.items() if fields["method"] == method.key
        )
        assert len(order) == 3
        life = ["new"] * 2 + ["good"] * 3 + ["worn"] * 2
        expected = [(blade, state) for blade in order for state in life]
        expected += [(order[-1], "worn")] * (len(used) - len(expected))
        assert used == expected[: len(used)]


async def test_five_tanks_of_each_regime_are_given_it_all_along(farm: Farm) -> None:
    given: dict[str, Counter[tuple[str, str]]] = defaultdict(Counter)
    for care in farm.of("care"):
        what = care["body"]["what"], care["body"].get("name", "")
        given[care["subject"]["id"]][what] += 1
    regimes: dict[frozenset[tuple[str, str]], set[str]] = defaultdict(set)
    for tank, kinds in given.items():
        assert min(count for (what, _), count in kinds.items() if what != "water-change") >= 50
        regimes[frozenset(kind for kind in kinds if kind[0] != "water-change")].add(tank)
    plain = frozenset({("feed", "plankton"), ("supplement", "carbonate")})
    assert set(regimes) == {plain, plain | {("dose", "amino acids")}}
    assert [len(tanks) for tanks in regimes.values()] == [5, 5]


async def test_no_trait_keeps_to_another(farm: Farm) -> None:
    """Every tank has cuts of every method but at most one, and of three species and operators;
    every operator, regime and method has all of the others."""
    lives = farm.facts.lives
    for tray in {life.tray for life in lives}:
        inside = [life for life in lives if life.tray == tray]
        assert len({life.made.method for life in inside}) >= 2
        assert len({life.species for life in inside}) >= 4
        assert len({life.operator for life in inside}) >= 2
    cells = Counter((life.made.method.key, life.operator, life.made.regime) for life in lives)
    assert len(cells) == 3 * 3 * 2
    assert min(cells.values()) >= 12


async def test_what_the_simulator_knows_is_what_was_written_down(farm: Farm) -> None:
    bodies = {glue["subject"]["id"]: glue["body"] for glue in farm.of("glue")}
    cuts = {cut["subject"]["id"]: cut["body"] for cut in farm.of("cut")}
    assert {life.id for life in farm.facts.lives} == set(bodies)
    for life in farm.facts.lives:
        glue, made = bodies[life.id], life.made
        cut = cuts[glue["cut"]]
        assert (glue["mouths_kept"], glue["base"], glue["tray"]) == (
            made.mouth,
            made.base,
            life.tray,
        )
        assert (cut["method"], cut["blade_state"]) == (made.method.key, made.wear)
        assert (cut["blade"], cut["operator"]) == (life.blade, life.operator)


async def test_feeding_is_only_seen_in_the_evening_with_the_lights_off(farm: Farm) -> None:
    checks = farm.of("check")
    night = [check for check in checks if check["body"].get("lights") == "off"]
    feeding = [check for check in checks if check["body"].get("mouth") == "feeding"]
    assert len(night) > 100
    assert len(feeding) > 50
    assert all(check in night for check in feeding)
    for check in night:
        seen = datetime.fromisoformat(check["observed"]["at"]).astimezone(ZoneInfo(ZONE))
        assert 19 <= seen.hour < 21


async def test_full_rounds_are_seven_to_ten_days_apart(farm: Farm) -> None:
    days = Counter(check["observed"]["at"][:10] for check in farm.of("check")
                   if check["body"].get("lights") == "on")  # fmt: skip
    rounds = sorted(date.fromisoformat(day) for day in days)
    gaps = {(after - before).days for before, after in pairwise(rounds)}
    assert gaps == {7, 8, 9, 10}


async def test_pieces_end_in_every_way_and_the_slips_are_there(farm: Farm) -> None:
    states = [state for state in farm.states.values() if state.begun and state.begun.kind == "glue"]
    assert {state.stage for state in states} == {"healing", "ready", "lost", "exited"}
    assert {state.exit.how for state in states if state.exit} == {
        "dispatched", "given", "culled", "cut-up",
    }  # fmt: skip
    assert {state.loss.how for state in states if state.loss} == {"dead", "missing"}
    assert any(state.loss and state.ready_sale for state in states)
    assert sum(state.alive is None for state in states) >= 3
    losses = {loss["id"]: loss["body"]["how"] for loss in farm.of("loss")}
    found = [losses[flag.against] for state in states for flag in state.flags
             if flag.what == "seen-after-loss" and flag.against]  # fmt: skip
    assert Counter(found)["dead"] == 1
    assert Counter(found)["missing"] >= 2
    assert len(farm.of("retract")) == 3


async def test_healing_only_moves_forward_in_what_is_seen_by_day(farm: Farm) -> None:
    order = ("none", "bud", "open")
    taken_back = {record["subject"]["id"] for record in farm.of("retract")}
    seen: dict[str, list[tuple[int, int]]] = defaultdict(list)
    for check in sorted(farm.of("check"), key=lambda record: record["observed"]["at"]):
        body = check["body"]
        if body.get("lights") == "on" and check["id"] not in taken_back:
            step = (order.index(body["mouth"]), body["encrustation"])
            seen[check["subject"]["id"]].append(step)
    assert len(seen) > 350
    for steps in seen.values():
        assert [mouth for mouth, _ in steps] == sorted(mouth for mouth, _ in steps)
        assert [cover for _, cover in steps] == sorted(cover for _, cover in steps)


async def test_held_back_pieces_are_cut_again_after_half_a_year(farm: Farm) -> None:
    cuts = {cut["subject"]["id"]: cut["body"]["mother"] for cut in farm.of("cut")}
    kinship = Kinship({key: kin_of(state) for key, state in farm.states.items()}, cuts)
    mothers = [farm.states[mother] for mother in cuts.values()]
    grown = [state for state in mothers if state.begun and state.begun.kind == "glue"]
    assert len(grown) >= 5
    for mother in grown:
        assert mother.begun is not None
        assert mother.last_cut is not None
        age = date.fromisoformat(mother.last_cut) - date.fromisoformat(mother.begun.day)
        assert age.days >= 183
        assert mother.glued_for == "hold"
        assert mother.ready_cut is not None
    numbers = {descent(key, kinship, Facility()).number.plus
               for key, state in farm.states.items() if state.cut}  # fmt: skip
    assert numbers == {1, 2}
