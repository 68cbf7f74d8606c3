"""The interval of a difference from the intervals of its two sides."""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple


class Limits(NamedTuple):
    """One side's estimate and its limits, low <= value <= high."""

    value: float
    low: float
    high: float


def mover(one: Limits, two: Limits, alike: float = 0.0) -> tuple[float, float]:
    """(low, high) of one - two: the method of variance estimates recovery.

    Zou & Donner 2008, Stat Med 27:1693; for sides whose estimates are correlated by `alike`, Zou
    2007, Psychol Methods 12:399 (from memory). Of Wilson's limits of two groups that have nothing
    in common it is Newcombe's method 10. Units are those of the sides.
    """
    down = _reach(one.value - one.low, two.high - two.value, alike)
    up = _reach(one.high - one.value, two.value - two.low, alike)
    middle = one.value - two.value
    return middle - down, middle + up


def _reach(a: float, b: float, alike: float) -> float:
    return sqrt(max(a * a + b * b - 2.0 * alike * a * b, 0.0))
