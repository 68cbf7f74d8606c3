"""Answers that never come, come ten times, or are no answers: scenarios 3, 4, 7 and 9."""

import json
import random

from tests.faults.checker import judge
from tests.faults.farm import check, draft, plant
from tests.faults.handsets import Phone
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_ANSWER, Fault

PUSH = "/sync/push"
DROPPED = 20
"""Lost answers in a run of scenario 3."""
STRIDE = 5
"""Every so many places of the batch hold a poison record in a run of scenario 7."""


async def lost_answers(world: World, chance: random.Random) -> Verdict:
    """Each batch is committed and its answer thrown away; then it is sent again."""
    phone = await world.phone()
    [piece] = await plant(phone, 1)
    verdict = Verdict()
    for _ in range(DROPPED):
        made = await phone.save(*(check(piece, chance) for _ in range(chance.randint(1, 4))))
        world.gateway.script(PUSH, LOSE_ANSWER)
        verdict.expect(await phone.drain() == "offline", "a lost answer was taken for one")
        if chance.random() < 0.3:
            await phone.do("restart")
        verdict.expect(await phone.drain() is None, "the second sending was not taken")
        rows = await world.rows(
            f"SELECT id FROM log WHERE id IN ({','.join('?' * len(made))})",
            *(record["id"] for record in made),
        )
        verdict.expect(len(rows) == len(made), f"{len(rows)} rows of {len(made)} records")
    verdict.add(await judge(world))
    return verdict


async def ten_at_once(world: World, chance: random.Random) -> Verdict:
    """One batch reaches the server ten times at the same moment; every answer must agree."""
    phone = await world.phone()
    [piece] = await plant(phone, 1)
    made = await phone.save(*(check(piece, chance) for _ in range(50)))
    world.gateway.copies.clear()
    world.gateway.script(PUSH, Fault(copies=10))
    verdict = Verdict()
    verdict.expect(await phone.drain() is None, "the batch was not taken")
    answers = [json.loads(body).get("answers", []) for body in world.gateway.copies]
    places = {tuple(answer["seq"] for answer in one) for one in answers}
    verdict.expect(len(answers) == 10, f"{len(answers)} answers")
    verdict.expect(len(places) == 1, f"{len(places)} different sets of places were answered")
    verdict.expect(all(len(set(one) - {None}) == 50 for one in places), "a record has no place")
    words = sorted("".join(sorted({answer["answer"] for answer in one})) for one in answers)
    verdict.expect(words == ["duplicate"] * 9 + ["stored"], f"answered: {words}")
    verdict.expect(len(made) == 50, "not all were saved")
    verdict.add(await judge(world))
    return verdict


async def one_poison_record(world: World, chance: random.Random) -> Verdict:
    """At every fifth place of a batch one record that the server must refuse; five runs do all."""
    phone = await world.phone()
    pieces = await plant(phone, 100)
    verdict = Verdict()
    places = range(world.turn % STRIDE, 100, STRIDE)
    for count, place in enumerate(places, 1):
        drafts = [check(piece, chance) for piece in pieces]
        drafts[place] = draft("check", ("piece", pieces[place]), mouth="wide", made=place)
        made = await phone.save(*drafts)
        world.gateway.heard.clear()
        await phone.drain()
        pushes = sum(PUSH in path for _, path in world.gateway.heard)
        verdict.expect(pushes == 1, f"place {place}: {pushes} round trips")
        left = await phone.outbox()
        mine = [row for row in left if row["record"]["id"] == made[place]["id"]]
        verdict.expect(
            len(left) == count and [row["state"] for row in mine] == ["refused"],
            f"place {place}: the outbox shows {[row['state'] for row in left]}",
        )
        if verdict.wrong:
            break
    [row] = await world.rows("SELECT count(*) AS n FROM refused")
    verdict.expect(row["n"] == count, f"{row['n']} in quarantine after {count}")
    verdict.add(await judge(world))
    return verdict


async def no_answers(world: World, chance: random.Random) -> Verdict:
    """Somebody else's pages and half answers decide nothing: the outbox stays as it was."""
    phone = await world.phone()
    [piece] = await plant(phone, 1)
    verdict = Verdict()
    for answer in ("sign-in", "bad-gateway", "half", "cut"):
        copies = chance.randint(0, 1) if answer in ("sign-in", "bad-gateway") else 1
        await phone.save(*(check(piece, chance) for _ in range(chance.randint(1, 20))))
        before = await _line(phone)
        world.gateway.always(Fault(copies=copies, answer=answer))
        if chance.random() < 0.5:
            await phone.do("restart")
        for _ in range(3):
            verdict.expect(await phone.drain() is not None, f"{answer} was taken for an answer")
        world.gateway.clear()
        verdict.expect(await _line(phone) == before, f"{answer} changed the outbox")
        verdict.expect(await phone.drain() is None, f"after {answer} nothing was taken")
    verdict.add(await judge(world))
    return verdict


async def _line(phone: Phone) -> list[tuple[object, str]]:
    return [(row["record"], row["state"]) for row in await phone.outbox()]


SCENARIOS = (
    Scenario(3, "commit, then lose the answer", f"{DROPPED} lost answers", lost_answers,
             short=2, whole=50),
    Scenario(4, "the same batch ten times at once", "a batch of 50", ten_at_once,
             short=4, whole=50, each=0.5),
    Scenario(7, "one poison record", "20 places of a batch of 100", one_poison_record,
             short=1, whole=STRIDE, each=0.1),
    Scenario(9, "pages that are no answers", "four kinds of page", no_answers,
             short=4, whole=50, each=0.5),
)  # fmt: skip
