"""What a run came to."""

from dataclasses import dataclass, field


@dataclass
class Verdict:
    """`lost` and `doubled` count records; each sentence in `wrong` is another broken promise.

    `facts` are measured and told, never judged.
    """

    lost: int = 0
    doubled: int = 0
    wrong: list[str] = field(default_factory=list)
    facts: dict[str, float] = field(default_factory=dict)

    @property
    def clean(self) -> bool:
        return not (self.lost or self.doubled or self.wrong)

    def add(self, other: "Verdict") -> None:
        self.lost, self.doubled = self.lost + other.lost, self.doubled + other.doubled
        self.wrong += other.wrong
        for name, value in other.facts.items():
            self.facts[name] = max(value, self.facts.get(name, value))

    def expect(self, is_so: bool, sentence: str) -> None:
        if not is_so:
            self.wrong.append(sentence)
