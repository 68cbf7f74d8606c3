"""One measured number and the goal that it is held against."""

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Measure:
    """``goal`` is None for a number that is reported only; ``better`` says which way is good."""

    name: str
    value: float
    goal: float | None
    unit: str
    better: Literal["lower", "higher"]

    @property
    def ok(self) -> bool:
        if self.goal is None:
            return True
        return self.value <= self.goal if self.better == "lower" else self.value >= self.goal

    def line(self) -> str:
        """``name  value unit  goal  ok`` (or ``short`` where the goal is missed)."""
        sign = "<=" if self.better == "lower" else ">="
        goal = "no goal" if self.goal is None else f"{sign} {self.goal:g}"
        value = f"{self.value:.4g}" if abs(self.value) < 1000 else f"{self.value:.0f}"
        return f"{self.name}  {value} {self.unit}  {goal}  {'ok' if self.ok else 'short'}"
