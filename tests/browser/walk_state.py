"""One state of the walk through the app.

A state is a path and what is done there, in words: ``press Lost``, ``choose Dead``, ``write
Size=18``, ``pick List=Trays``. Without a path of its own it goes on from the state before.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class State:
    """`opens` names the components with a sheet that are open now. In `glare` text needs 7:1; what
    is `wet` is hit with a gloved thumb: 64 px targets with 12 px between."""

    name: str
    path: str | None = None
    do: tuple[str, ...] = ()
    opens: str = ""
    glare: bool = False
    wet: bool = False


def at(path: str | None, name: str, *do: str, opens: str = "") -> State:
    return State(name, path, do, opens)


def dry(path: str | None, name: str, *do: str, opens: str = "") -> State:
    """Read in glare, hit with care: the sheets of a piece."""
    return State(name, path, do, opens, glare=True)


def tank(path: str | None, name: str, *do: str, opens: str = "") -> State:
    return State(name, path, do, opens, glare=True, wet=True)
