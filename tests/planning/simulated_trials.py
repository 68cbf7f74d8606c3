"""Trials with a known truth, run again and again: how often do the stated cuts find it?

    python -m tests.planning.simulated_trials --trials 20000

The test of a trial is the one that `api/planning/trial_size.py` plans for: t on the differences
within mothers. A mother's pieces share her part; a piece of either arm adds its own.
"""

import argparse
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import stats

from api.planning.trial_size import Design, Spread, cuts_for_days, cuts_for_shares

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Shares:
    share: float
    difference: float
    icc: float
    each: int
    parts: bool = False

    @property
    def cuts(self) -> int | None:
        design = Design(2, 2.0 * self.each, self.parts)
        return cuts_for_shares(design, self.share, self.difference, self.icc)

    def differences(self, cuts: int, random: np.random.Generator) -> Array:
        """One a mother. Her own share lost is beta, with the stated correlation; parts of her have
        each their own."""
        size, p = (cuts, 2 if self.parts else 1), self.share
        a = (1.0 / self.icc - 1.0) * np.array([p, 1.0 - p])
        own = random.beta(*a, size) * np.ones((cuts, 2))
        own[:, 1] = np.clip(own[:, 1] + self.difference, 0.0, 1.0)
        lost = random.binomial(self.each, own) / self.each
        return lost[:, 1] - lost[:, 0]


@dataclass(frozen=True)
class Days:
    ready: float
    difference: float
    spread: Spread
    each: int
    parts: bool = False

    @property
    def cuts(self) -> int | None:
        design = Design(2, 2.0 * self.each, self.parts)
        return cuts_for_days(design, self.ready, self.difference, self.spread)

    def differences(self, cuts: int, random: np.random.Generator) -> Array:
        """One a mother of whom at least one piece of each arm became ready."""
        shape = (cuts, 2, self.each)
        own = random.normal(0, self.spread.between**0.5, (cuts, 2 if self.parts else 1, 1))
        days = own + random.normal(0, self.spread.within**0.5, shape)
        days[:, 1] += self.difference
        ready = random.random(shape) < self.ready
        both = ready.any(axis=2).all(axis=1)
        means = (days * ready).sum(axis=2)[both] / ready.sum(axis=2)[both]
        return means[:, 1] - means[:, 0]


def found_share(trial: Shares | Days, cuts: int, trials: int, seed: int) -> float:
    """In what share of `trials` the two-sided 5 % test finds a difference."""
    random = np.random.default_rng(seed)
    found = 0
    for _ in range(trials):
        seen = trial.differences(cuts, random)
        spread = seen.std(ddof=1) / len(seen) ** 0.5
        t = np.inf if spread == 0.0 and seen.mean() else seen.mean() / max(spread, 1e-12)
        found += bool(abs(t) >= stats.t.ppf(0.975, len(seen) - 1))
    return found / trials


TRIALS: tuple[Shares | Days, ...] = (
    Shares(0.30, 0.15, 0.15, 4), Shares(0.20, 0.20, 0.10, 3), Shares(0.30, 0.15, 0.15, 4, True),
    Days(0.8, 15.0, Spread(1100.0, 300.0), 4), Days(0.6, 25.0, Spread(900.0, 900.0), 3),
    Days(0.8, 15.0, Spread(1100.0, 300.0), 4, True),
)  # fmt: skip


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--trials", type=int, default=20_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    for trial in TRIALS:
        assert trial.cuts is not None
        share = found_share(trial, trial.cuts, given.trials, given.seed)
        print(f"{share:.3f} found with {trial.cuts:4d} cuts  {trial}")


if __name__ == "__main__":
    main()
