"""Five phones driven by chance: scenario 1.

Whatever is dropped, doubled, put out of order, restarted or off by days: what was shown as saved
is there once, and all come to the same stock. A run is told by its seed; nothing shrinks it.
"""

import random
from collections.abc import Awaitable, Callable

from tests.faults.checker import judge
from tests.faults.farm import Draft, check, draft, note, plant
from tests.faults.handsets import Phone, together
from tests.faults.scenario import Scenario
from tests.faults.verdict import Verdict
from tests.faults.world import World
from tests.sync.gateway import LOSE_ANSWER, LOSE_REQUEST, PARK, PASS, Fault

PHONES, COMMANDS, PIECES = 5, 100, 12
DAY_MS = 24 * 3600 * 1000
CODES = ("4JQZKDMN", "22222222", "3K3K3K3K")
FAULTS = (LOSE_ANSWER, LOSE_REQUEST, PARK, PASS, Fault(copies=2), Fault(copies=3, answer="lost"),
          Fault(answer="half"), Fault(answer="cut"), Fault(copies=0, answer="sign-in"),
          Fault(copies=0, answer="bad-gateway"), Fault(delay=0.02))  # fmt: skip


class Model:
    """One run: the phones, what they may record about, and what chance wants of them."""

    def __init__(self, world: World, phones: list[Phone], pieces: list[str], cut: str,
                 chance: random.Random) -> None:  # fmt: skip
        self.world, self.phones, self.pieces, self.cut = world, phones, pieces, cut
        self.chance = chance

    async def save(self, phone: Phone) -> None:
        count = self.chance.choice((1, 1, 1, 2, 5))
        await phone.save(*(self.draft() for _ in range(count)))

    async def glue(self, phone: Phone) -> None:
        """A new piece, begun and seen on one phone before anybody else knows of it."""
        new = (await phone.do("id"))["id"]
        await phone.save(
            draft("glue", ("piece", new), cut=self.cut, base="base.hex-40", purpose="hold"),
            check(new, self.chance),
        )
        self.pieces.append(new)

    async def take_back(self, phone: Phone) -> None:
        """A record of any phone's, whether this one has heard of it or not."""
        shown = [one for other in self.phones for one in other.shown if one["kind"] != "retract"]
        if shown:
            await phone.retract(self.chance.choice(shown[-40:])["id"])

    async def drain(self, phone: Phone) -> None:
        await phone.drain()

    async def drain_badly(self, phone: Phone) -> None:
        """A round in which each request meets a fault by chance."""
        faults = [self.chance.choice(FAULTS) for _ in range(6)]
        self.world.gateway.script("/api/", *faults)
        await phone.drain()
        self.world.gateway.clear()

    async def drain_two(self, phone: Phone) -> None:
        other = self.chance.choice([one for one in self.phones if one is not phone])
        await together((phone, "drain"), (other, "drain"))

    async def restart(self, phone: Phone) -> None:
        await phone.do("restart")

    async def skew(self, phone: Phone) -> None:
        ahead = self.chance.choice((0, 2 * DAY_MS, -2 * DAY_MS, 400_000, -20_000))
        await phone.do("clock", ahead_ms=ahead)

    async def late(self, _phone: Phone) -> None:
        """What was held up on the way arrives after what came later."""
        self.world.gateway.release()

    def draft(self) -> Draft:
        piece = ("piece", self.chance.choice(self.pieces))
        kind = self.chance.choices(
            ("check", "note", "ready", "missing", "dead", "bind", "purpose", "exit"),
            (20, 3, 2, 2, 1, 3, 1, 0.3),
        )[0]
        return {
            "check": lambda: check(piece[1], self.chance),
            "note": lambda: note(piece[1], f"seen {self.chance.random()}"),
            "ready": lambda: draft("ready", piece, **{"for": self.chance.choice(("sale", "cut"))}),
            "missing": lambda: draft("loss", piece, how="missing"),
            "dead": lambda: draft("loss", piece, how="dead"),
            "bind": lambda: draft("bind", piece, code=self.chance.choice(CODES)),
            "purpose": lambda: draft("purpose", piece, purpose="hold"),
            "exit": lambda: draft("exit", piece, how="given"),
        }[kind]()


Command = Callable[[Model, Phone], Awaitable[None]]
WEIGHTS: dict[Command, float] = {
    Model.save: 10, Model.glue: 0.5, Model.take_back: 1, Model.drain: 1.5, Model.drain_badly: 3,
    Model.drain_two: 0.5, Model.restart: 1, Model.skew: 0.5, Model.late: 1,
}  # fmt: skip


async def by_chance(world: World, chance: random.Random) -> Verdict:
    """Five phones, a hundred commands each, in one order by chance."""
    phones = await world.some_phones(PHONES)
    pieces = await plant(phones[0], PIECES)
    [row] = await world.rows("SELECT id FROM cut")
    for phone in phones[1:]:
        await phone.drain()
    model = Model(world, phones, pieces, row["id"], chance)
    turns = [phone for phone in phones for _ in range(COMMANDS)]
    chance.shuffle(turns)
    for phone in turns:
        [command] = chance.choices(list(WEIGHTS), list(WEIGHTS.values()))
        await command(model, phone)
    world.gateway.release()
    return await judge(world)


SCENARIOS = (
    Scenario(1, "five phones by chance", f"{PHONES} phones x {COMMANDS} commands", by_chance,
             short=1, whole=2000, each=0.5),
)  # fmt: skip
