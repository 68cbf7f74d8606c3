"""A line of 2,000 pieces from one colony over four generations, as phones would record it."""

import asyncio
from dataclasses import dataclass, field
from typing import Any

from api.records.clock import now_ms
from labels import check_character
from tests.browser.farm import Farm, ago
from tests.sync.phone import Phone

LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
GENERATIONS = ((1, 6, 10), (20, 2, 12), (40, 1, 20), (30, 1, 22))
"""Mothers of a generation, cuts of each, pieces a cut: 60 + 480 + 800 + 660 pieces."""
PIECES = sum(mothers * cuts * pieces for mothers, cuts, pieces in GENERATIONS)
CUTS = sum(mothers * cuts for mothers, cuts, _ in GENERATIONS)
BATCH = 500


def code_of(number: int) -> str:
    """A code of its own for each number below 30 ** 3."""
    seven = "GR8F" + "".join(LETTERS[number // 30**place % 30] for place in (2, 1, 0))
    return seven + check_character(seven)


def place_of(number: int) -> str:
    """On a map of twenty by twenty, over and over."""
    return f"{chr(65 + number % 20)}{number // 20 % 20 + 1}"


@dataclass
class BigFamily:
    """`fates` counts what the tree must show; `last` stands at the far end of the last cut."""

    desk: Phone
    now: int
    records: list[Any] = field(default_factory=list)
    fates: dict[str, int] = field(default_factory=dict)
    colony: str = ""
    pieces: list[str] = field(default_factory=list)

    @property
    def last(self) -> str:
        return self.pieces[-1]

    def code(self, piece: str) -> str:
        return code_of(0 if piece == self.colony else self.pieces.index(piece) + 1)

    def grow(self) -> None:
        self.colony = self.desk.id()
        arrival = {"line": "Driftwood", "species": "species.lobo", "origin": "wild",
                   "code": code_of(0)}  # fmt: skip
        self._say("arrival", self.colony, arrival, 1200)
        mothers, day = [self.colony], 1150
        for wanted, cuts, pieces in GENERATIONS:
            glued: list[str] = []
            for mother in mothers[:wanted]:
                for nth in range(cuts):
                    glued += self._cut(mother, pieces, day - 30 * nth)
            # Those that will be cut again stand all over the generation, not at its beginning.
            mothers, day = glued[:: max(1, len(glued) // 40)], day - 250
        for number, piece in enumerate(self.pieces):
            self._fate(number, piece)

    def _cut(self, mother: str, pieces: int, day: int) -> list[str]:
        cut = self.desk.id()
        body = {"sitting": self.desk.id(), "mother": mother, "method": "method.band-saw"}
        self.records.append(self.desk.make("cut", ("cut", cut), body, ago(self.now, day)))
        glued = [self.desk.id() for _ in range(pieces)]
        for piece in glued:
            self.pieces.append(piece)
            number = len(self.pieces)
            where = {"tray": "tray.a1", "place": place_of(number), "code": code_of(number)}
            glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale", **where}
            self._say("glue", piece, glue, day)
        return glued

    def _fate(self, number: int, piece: str) -> None:
        """One in five is lost and two in five have left, some so long ago that only their state is
        sent; one in five is ready; the others heal."""
        fates = ("healing", "ready", "lost", "gone", "gone")
        fate = "healing" if piece == self.last else fates[number % 5]
        self.fates[fate] = self.fates.get(fate, 0) + 1
        day = 200 if number % 2 else 20
        if fate in ("ready", "gone"):
            self._say("ready", piece, {"for": "sale"}, day)
        if fate == "lost":
            self._say("loss", piece, {"how": "dead"}, day)
        if fate == "gone":
            self._say("exit", piece, {"how": "dispatched"}, day - 1)

    def _say(self, kind: str, piece: str, body: Any, day: int) -> None:
        self.records.append(self.desk.make(kind, ("piece", piece), body, ago(self.now, day)))


def big_family(farm: Farm) -> BigFamily:
    """Grown and pushed to the farm's server."""
    family = BigFamily(Phone("saw", 77), now_ms())
    family.grow()
    for first in range(0, len(family.records), BATCH):
        batch = family.records[first : first + BATCH]
        pushed = family.desk.push(farm.db, batch, family.now)
        answers = asyncio.run_coroutine_threadsafe(pushed, farm.loop).result(120).answers
        assert {one.answer for one in answers} == {"stored"}, answers[:3]
    return family
