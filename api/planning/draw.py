"""Which arm of a trial the next piece of a mother goes to: drawn, and yet the same on every phone.

The arms of one mother are a sequence of permuted blocks (Pocock 1983, Clinical Trials, chapter 5,
from memory), each shuffled by bytes of

    SHA-256("nubbin draw 1\\n" trial "\\n" seed "\\n" mother "\\n" block "\\n" counter)

where the seed is made when the trial is planned. A block holds every arm once or twice, which of
the two being drawn as well, so that the last of a block is hard to foretell; where whole parts of
a mother are drawn (methods) it holds every arm exactly once, since she is marked into as many parts
as there are arms. Who reads the database can work the sequence out: the draw is hidden from a hand
that is about to glue, not from somebody who computes.

The next piece takes the first place of the sequence that no standing piece of that mother has
filled, whichever phone glued it. So taking a piece back and doing it again gives the same arm, and
what two phones without a network drew at the same place both stands, and is made up for by the
draws that follow. `pwa/src/trials/draw.ts` is the same; both run `fixtures/trials/draw.json`.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from hashlib import sha256
from itertools import count
from typing import NamedTuple


class Plan(NamedTuple):
    """What a draw needs of a trial. `parts`: whole parts of a mother are drawn, not pieces."""

    trial: str
    seed: str
    arms: tuple[str, ...]
    parts: bool = False


def next_arm(plan: Plan, mother: str, standing: Iterable[str]) -> str:
    """The arm of the next piece (or part), given the arms of those of this mother that stand."""
    left = Counter(standing)
    for arm in sequence(plan, mother):
        if not left[arm]:
            return arm
        left[arm] -= 1
    raise AssertionError("a sequence has no end")


def sequence(plan: Plan, mother: str) -> Iterator[str]:
    """The arms of one mother, one block after another, without end."""
    for number in count():
        yield from block(plan, mother, number)


def block(plan: Plan, mother: str, number: int) -> list[str]:
    """One permuted block: Fisher and Yates's shuffle of the arms, once or twice each."""
    drawn = _bytes(f"nubbin draw 1\n{plan.trial}\n{plan.seed}\n{mother}\n{number}")
    times = 1 if plan.parts else 1 + next(drawn) % 2
    arms = sorted(plan.arms) * times
    for last in range(len(arms) - 1, 0, -1):
        other = _below(last + 1, drawn)
        arms[last], arms[other] = arms[other], arms[last]
    return arms


def _bytes(text: str) -> Iterator[int]:
    for counter in count():
        yield from sha256(f"{text}\n{counter}".encode()).digest()


def _below(size: int, drawn: Iterator[int]) -> int:
    """A number below `size`, each as likely: bytes that would favour low ones are passed over."""
    fair = 256 - 256 % size
    return next(byte for byte in drawn if byte < fair) % size
