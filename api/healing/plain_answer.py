"""What `nubbin estimate` says of one group: masses to be compared, days, and the sentence. Pure.

The masses, their log-likelihood and the tail are arithmetic to be checked and always given. The
days are a statement on the pieces, and obey the same rule as the report (`estimate.how_much`): none
below five ready pieces or two cuts, their 95 % range only from four cuts and ten ready pieces on,
and neither beyond the day on which the curve stops.
"""

from __future__ import annotations

from statistics import median_high

from msgspec import Struct
from msgspec.structs import replace

from api.healing.bands import Band
from api.healing.errors import NotSettledError
from api.healing.estimate import (
    Estimate,
    days_of,
    how_much,
    range_of,
    ready_band,
    shown_of,
)
from api.healing.incidence import CauseCurve, Incidence, fit_incidence
from api.healing.plain_table import PlainGroup, PlainTable
from api.healing.rows import Cause, IntArray, IntervalRows
from api.healing.sentence import sentence
from api.healing.shapes import DaysSeen, Group, Half, MedianRange, Show

SHARES = (0.25, 0.5, 0.75)
DIGITS = 10
"""Significant digits printed. A fit is exact to about as many (its gap is at most 1e-8)."""


class Quantile(Struct, frozen=True):
    """The day by which `share` of all pieces are ready: after the end of `after`, by the end of
    `by`. `interval` is its 95 % range of days; `high` None there: at least day `low`."""

    share: float
    days: Half | None
    interval: MedianRange | None


class PlainAnswer(Struct, frozen=True):
    """One group. ready_mass and lost_mass are (left, right, mass); their sums and `tail` make 1.

    tail     share neither ready nor lost by the last look: not ready until after `tail_ready`, not
             lost until after `tail_lost`
    gap      loglik misses its maximum by at most gap * pieces
    show     'range', 'curve' or 'full': what of the days may be said
    """

    group: str
    pieces: int
    cuts: int
    ready: int
    lost: int
    healing: int
    loglik: float
    gap: float
    ready_mass: list[tuple[int, int, float]]
    lost_mass: list[tuple[int, int, float]]
    ready_total: float
    lost_total: float
    tail: float
    tail_ready: int
    tail_lost: int
    show: Show
    quantiles: list[Quantile]
    sentence: str


class PlainAnswers(Struct, frozen=True):
    """All groups of a file, and its columns that were not used."""

    groups: list[PlainAnswer]
    columns_not_used: list[str]


def answers(table: PlainTable) -> PlainAnswers:
    """The answer to a whole file. NotSettledError, naming the group, where a fit fails."""
    return PlainAnswers([answer(group) for group in table.groups], table.not_used)


def answer(group: PlainGroup) -> PlainAnswer:
    """The answer for one group, numbers to DIGITS significant digits. NotSettledError may rise."""
    rows = group.rows
    show = how_much(_count(rows, Cause.READY), rows.cuts)
    try:
        fit = fit_incidence(rows)
        band = ready_band(rows, fit) if show == "full" else None
        shape = None if show == "range" else shown_of(rows, fit, band)
    except NotSettledError as error:
        raise NotSettledError(f"{group.name}: {error}") from error
    return PlainAnswer(
        group=group.name,
        pieces=rows.pieces,
        cuts=rows.cuts,
        ready=_count(rows, Cause.READY),
        lost=_count(rows, Cause.LOST),
        healing=_count(rows, Cause.STILL),
        loglik=_rounded(fit.loglik),
        gap=_rounded(fit.gap),
        ready_mass=_masses(fit.ready),
        lost_mass=_masses(fit.lost),
        ready_total=_rounded(float(fit.ready.mass.sum())),
        lost_total=_rounded(float(fit.lost.mass.sum())),
        tail=_rounded(fit.tail_mass),
        tail_ready=fit.ready.tail_from,
        tail_lost=fit.lost.tail_from,
        show=show,
        quantiles=[_quantile(share, fit, shape, band) for share in SHARES],
        sentence=_sentence(group, show, shape),
    )


def _quantile(share: float, fit: Incidence, shape: Estimate | None, band: Band | None) -> Quantile:
    if shape is None:
        return Quantile(share, None, None)
    reach = None if band is None else range_of(fit, band, share, shape.end)
    return Quantile(share, days_of(fit, share, shape.end), reach)


def _sentence(group: PlainGroup, show: Show, shape: Estimate | None) -> str:
    rows = group.rows
    ready, lost = (rows.cause == cause for cause in (Cause.READY, Cause.LOST))
    plain = Group(
        key=group.name, name=group.name, unit="cut", pieces=rows.pieces, cuts=rows.cuts,
        ready=_count(rows, Cause.READY), lost=_count(rows, Cause.LOST),
        healing=_count(rows, Cause.STILL), withdrawn=0, never_checked=0, lost_after_ready=0,
        missing=0, excluded=0, show=show, sentence="",
        observed=_seen(rows.right[ready]), found_lost=_seen(rows.right[lost]),
        estimate=None, median=None, middle=None, loss=None, curve=[], band=None, stops_at=None,
        gap_days=_gap(rows), notes=[],
    )  # fmt: skip
    if shape is not None:
        plain = replace(plain, estimate=shape.half, median=shape.median, curve=shape.curve)
    return sentence(plain, "sale")


def _gap(rows: IntervalRows) -> int | None:
    """The usual width of the intervals in which pieces became ready, a line counted once."""
    ready = rows.cause == Cause.READY
    widths = (rows.right - rows.left)[ready].tolist()
    return int(median_high(widths)) if widths else None


def _count(rows: IntervalRows, cause: Cause) -> int:
    return int(rows.weight[rows.cause == cause].sum())


def _seen(days: IntArray) -> DaysSeen | None:
    return DaysSeen(int(days.min()), int(days.max())) if days.size else None


def _masses(curve: CauseCurve) -> list[tuple[int, int, float]]:
    columns = (curve.left.tolist(), curve.right.tolist(), curve.mass.tolist())
    return [(left, right, _rounded(mass)) for left, right, mass in zip(*columns, strict=True)]


def _rounded(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")
