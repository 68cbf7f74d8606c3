"""What may move a figure of a pair: cuts left out of both sides at once, and pieces as such.

A figure is F of a side about a day (`healing.smooth`), or a day, which moves by -dF / F'. The
floor of the variance of a difference is what pieces as such leave open: the binomial variances of
both sides, but where cuts are shared without what pieces of one cut have in common, which goes out
of the difference. With r the correlation of two pieces of a cut, m_c its share of a side's pieces,
    floor = sum over sides (1 - r) F (1 - F) / n  +  sum over cuts (m_c1 s_1 - m_c2 s_2)^2
    s^2 = r F (1 - F),
cuts of a side taken as equal, and at most the binomial one. It is known, not learnt from cuts, and
so goes with the normal quantile (`bands.Reach`). Where cuts are shared it is nearly all there is,
so that what is seen between cuts falls under it every other time and t allows for that already: the
floor is taken there only where less is seen than chance would leave of it in a few of a hundred
(chi-square; as where the cuts' differences are all equal).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from scipy.special import chdtri, ndtri, stdtrit

from api.healing.bands import Reach, band_of
from api.healing.compare.pair import Pair, Side
from api.healing.rows import Cause, FloatArray
from api.healing.smooth import around, half_width


class Figure(NamedTuple):
    """A side's F and what leaving out cuts does to the figure, (replicates of the pair,).

    `per` is one unit of the figure for one of F: 1, or 1 / F' where the figure is a day.
    """

    side: Side
    f: float
    moves: FloatArray
    per: float = 1.0

    @property
    def chance(self) -> float:
        """F (1 - F) / n in the unit of `per`."""
        return self.f * (1.0 - self.f) / self.side.fit.pieces * self.per**2

    @property
    def between(self) -> float:
        """The variance that is seen between cuts."""
        return float(self.moves @ self.moves)

    @property
    def extreme(self) -> bool:
        """Whether less than half a piece lies between F and 0 or 1: what spreads says nothing."""
        return min(self.f, 1.0 - self.f) * self.side.fit.pieces < 0.5


def figures(pair: Pair, side: Side, cause: Cause, day: int) -> tuple[Figure, Figure]:
    """F on the nearest days on which it is known, from `day` back and from it on."""
    sides = around(side.fit, cause, np.array([day]), half_width(side.fit, cause))
    below, above = (figure(pair, side, weights[0]) for weights in sides)
    return below, above


def figure(pair: Pair, side: Side, weights: FloatArray) -> Figure:
    """The figure weights @ mass, `weights` (columns,)."""
    f = min(1.0, float(weights @ side.fit.mass))
    return Figure(side, f, pair.moves(side, side.again.mass @ weights))


def reach(pair: Pair, one: Figure, two: Figure, level: float) -> Reach:
    """The quantiles for the difference of two figures."""
    tail = 0.5 + level / 2.0
    return Reach(float(stdtrit(_freedom(pair, one, two), tail)), float(ndtri(tail)))


def away(pair: Pair, one: Figure, two: Figure, cause: Cause, level: float) -> float:
    """How far the limits of one - two lie from it."""
    both = float(((one.moves - two.moves) ** 2).sum())
    least, found = floor(pair, one, two, cause), reach(pair, one, two, level)
    free = _freedom(pair, one, two)
    if _shared(pair) and both > least * float(chdtri(free, 0.5 + level / 2.0)) / free:
        return float(found.learnt * both**0.5)
    return float(found.over(np.array(both), np.array(least)))


def _freedom(pair: Pair, one: Figure, two: Figure) -> float:
    return pair.freedom(max(one.between, one.chance), max(two.between, two.chance))


def _shared(pair: Pair) -> int:
    """How many cuts have pieces on both sides."""
    return pair.one.again.cuts + pair.two.again.cuts - pair.cuts


def floor(pair: Pair, one: Figure, two: Figure, cause: Cause) -> float:
    """The least variance of one - two that pieces as such can have."""
    binomial = one.chance + two.chance
    cuts = one.side.again.cuts, two.side.again.cuts
    shared = _shared(pair)
    if not shared:
        return binomial
    common = [alike(side, cause) for side in (one.side, two.side)]
    within = (1.0 - common[0]) * one.chance + (1.0 - common[1]) * two.chance
    a, b = (
        (r * each.chance * each.side.fit.pieces) ** 0.5 / size
        for r, each, size in zip(common, (one, two), cuts, strict=True)
    )
    between = shared * (a - b) ** 2 + (cuts[0] - shared) * a * a + (cuts[1] - shared) * b * b
    return float(min(binomial, within + between))


def alike(side: Side, cause: Cause) -> float:
    """The correlation r of two pieces of a cut: deff = 1 + r (m - 1) with m pieces a cut.

    Kish 1965, Survey Sampling, section 5.4 (from memory); 0 where cuts have a piece each.
    """
    size = side.fit.pieces / side.again.cuts
    deff = band_of(side.fit, cause, side.again).deff
    return min(1.0, (deff - 1.0) / (size - 1.0)) if size > 1.0 else 0.0
