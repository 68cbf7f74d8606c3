"""How many cuts a trial takes to show a difference worth knowing. Pure.

Arms are drawn within each mother, so a mother is a block and the trial's estimate is the mean over
mothers of the difference between her arms; its test is the one-sample t test of those differences
(a matched design: Armitage, Berry & Matthews 2002, Statistical Methods in Medical Research,
section 4.3, from memory). With m pieces an arm a mother, intraclass correlation r and variance v of
a piece, the variance of one mother's difference is

    pieces drawn          (v1 + v2) (1 - r) / m                     her own part cancels
    whole parts drawn     (v1 + v2) (1 + (m - 1) r) / m             nothing is taken to cancel

(Donner & Klar 2000, Cluster Randomization Trials, section 4: the matched-pair and the unmatched
case). How unlike two parts of one mother are has not been seen by a farm that cuts her whole in one
way, so methods are planned as if parts differed as cuts do: the careful count.

Shares: v = p (1 - p). Days: v (1 - r) is the mean square within mothers, and K, the pieces of an
arm that become ready, is binomial, so 1 / m is E[1 / K given K >= 1] and only mothers with K >= 1
in both arms count. The count is the smallest whose power, by the noncentral t distribution, is
80 % at a two-sided level of 5 % over the number of pairs of arms (Bonferroni, which Holm's step
begins with).
"""

from math import ceil, comb
from typing import NamedTuple

from scipy.special import nctdtr, ndtri, stdtrit

POWER, LEVEL = 0.80, 0.05
FEWEST = 4
"""A comparison is only shown with four cuts or more (`api/healing/estimate.py`)."""
FAR = 30.0
"""Standard errors."""
MOST = 2000
"""Beyond so many cuts a count is not worth giving."""


class Design(NamedTuple):
    """`pieces` of one cut, both arms or all of them together; `parts`: a part of a mother, and not
    a piece, is what is drawn."""

    arms: int
    pieces: float
    parts: bool = False

    @property
    def each(self) -> float:
        """Pieces an arm a mother."""
        return self.pieces / self.arms

    @property
    def level(self) -> float:
        """Two-sided level of one pair of arms."""
        return LEVEL / (self.arms * (self.arms - 1) / 2)


class Spread(NamedTuple):
    """Of days until ready: the variance among pieces of one mother, and that between mothers."""

    within: float
    between: float = 0.0


def cuts_for_shares(design: Design, share: float, difference: float, icc: float) -> int | None:
    """Cuts to tell `share` from a share that lies `difference` off; both 0 to 1.

    None where no share lies so far off, or where it takes more than MOST. `icc` is 0 to 1.
    """
    other = other_share(share, difference)
    if other is None:
        return None
    each = design.each
    alike = (1.0 + (each - 1.0) * icc) if design.parts else (1.0 - icc)
    variance = (share * (1.0 - share) + other * (1.0 - other)) * alike / each
    return _at_least(mothers(difference, variance, design.level))


def cuts_for_days(design: Design, ready: float, difference: float, spread: Spread) -> int | None:
    """Cuts to see `difference` days between arms, of whose pieces a share `ready` gets there."""
    inverse, seen = ready_pieces(design.each, ready)
    if seen == 0.0:
        return None
    variance = 2.0 * (spread.within * inverse + (spread.between if design.parts else 0.0))
    needed = mothers(difference, variance, design.level)
    return _at_least(None if needed is None else needed / seen**2)


def other_share(share: float, difference: float) -> float | None:
    """The share so far from `share` that is nearer to a half, which is the harder to tell."""
    found = [one for one in (share + difference, share - difference) if 0.0 <= one <= 1.0]
    return min(found, key=lambda one: abs(one - 0.5)) if found else None


def mothers(difference: float, variance: float, level: float = LEVEL) -> int | None:
    """The fewest differences of this variance whose mean is seen not to be 0; None over MOST."""
    if variance == 0.0:
        return 2
    # By the normal distribution it takes a few less than by t: from there upwards, one by one.
    reach = float(ndtri(1.0 - level / 2.0) + ndtri(POWER))
    start = max(2.0, variance * (reach / difference) ** 2)
    if start > MOST:
        return None
    found = int(start)
    while power(found, difference, variance, level) < POWER:
        found += 1
    return found if found <= MOST else None


def power(count: int, difference: float, variance: float, level: float = LEVEL) -> float:
    """The chance that a two-sided t test of `count` differences sees a mean of `difference`."""
    free, shift = count - 1, difference * (count / variance) ** 0.5
    limit = float(stdtrit(free, 1.0 - level / 2.0))
    # Beyond this the library's series has no value, and the chance of missing it has none either.
    if shift > limit + FAR:
        return 1.0
    return float(1.0 - nctdtr(free, shift, limit) + nctdtr(free, shift, -limit))


def ready_pieces(each: float, ready: float) -> tuple[float, float]:
    """(E[1/K given K >= 1], P(K >= 1)) of K ready pieces among `each`; between whole numbers of
    pieces, in proportion."""
    whole = max(1, int(each))
    part = min(1.0, max(0.0, each - whole))
    one, two = _ready_of(whole, ready), _ready_of(whole + 1, ready)
    return (1 - part) * one[0] + part * two[0], (1 - part) * one[1] + part * two[1]


def _ready_of(pieces: int, ready: float) -> tuple[float, float]:
    seen = 1.0 - (1.0 - ready) ** pieces
    if seen == 0.0:
        return 1.0, 0.0
    numbers = range(1, pieces + 1)
    chances = (comb(pieces, k) * ready**k * (1.0 - ready) ** (pieces - k) for k in numbers)
    return sum(chance / k for k, chance in zip(numbers, chances, strict=True)) / seen, seen


def _at_least(needed: float | None) -> int | None:
    if needed is None or needed > MOST:
        return None
    return max(FEWEST, ceil(needed))
