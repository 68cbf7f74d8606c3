"""Who holds the saw at each sitting, and which blade is on it: changed when it has cut enough."""

from collections import Counter
from typing import NamedTuple

from api.demo.people import PEOPLE
from api.demo.truth import METHODS, MethodTruth, Wear
from api.records.fields import FieldValue

OPERATORS = tuple(name for _, name, _ in PEOPLE)
"""As they are typed at the saw."""
BLADES = 3
"""Of each saw; the last stays on."""
LIFE: tuple[Wear, ...] = ("new", "new", "good", "good", "good", "worn", "worn")
"""A blade's state at its first cut, its second, ..., as it is written down; then it is changed."""
_WORDS = {
    "method.band-saw": ("band", "Band"), "method.tile-saw": ("rim", "Diamond rim"),
    "method.rotary-tool": ("disc", "Cutting disc"),
}  # fmt: skip


class Blade(NamedTuple):
    key: str
    wear: Wear


class Saws:
    """Every method's blades, and how much they have cut."""

    def __init__(self) -> None:
        self._cuts = Counter[str]()

    def next_blade(self, method: MethodTruth) -> Blade:
        """The blade of the next cut by a method, as worn as it is then."""
        number, age = divmod(self._cuts[method.key], len(LIFE))
        self._cuts[method.key] += 1
        if number >= BLADES:
            return Blade(_key(method, BLADES - 1), "worn")
        return Blade(_key(method, number), LIFE[age])


def operator(sitting: int) -> str:
    """Who cuts at the sitting of this number; they take turns."""
    return OPERATORS[sitting % len(OPERATORS)]


def blades() -> list[tuple[str, str, dict[str, FieldValue]]]:
    """Every blade as an entry of the farm's lists."""
    return [
        (_key(method, number), "blade",
         {"name": f"{_WORDS[method.key][1]} {number + 1}", "method": method.key})
        for method in METHODS for number in range(BLADES)
    ]  # fmt: skip


def _key(method: MethodTruth, number: int) -> str:
    return f"blade.{_WORDS[method.key][0]}-{number + 1}"
