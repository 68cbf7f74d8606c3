"""A group's curves as far as they may be drawn, and the days at which they reach a share.

Which of it is shown depends on how much was seen:
    fewer than 5 ready, or 1 cut       the range that was seen
    2 or 3 cuts, or fewer than 10 ready  curve, no interval
    otherwise                          median, middle half, 95 % interval
A curve stops where fewer than max(5, 10 %) of the pieces are still watched, unless every piece that
is no longer watched is known to be ready or lost: then nothing beyond that day is guessed. On how
far such plots can be trusted: Pocock, Clayton & Altman 2002, Lancet 359:1686 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from api.healing.bands import Band, band_of, replicates_of
from api.healing.incidence import Incidence, fit_incidence
from api.healing.rows import Cause, IntervalRows
from api.healing.shapes import BandPoint, CurvePoint, Half, MedianRange, Show

FEWEST_READY = 5
READY_FOR_INTERVAL = 10
CUTS_FOR_CURVE = 2
CUTS_FOR_INTERVAL = 4
FEWEST_WATCHED = 5
SHARE_WATCHED = 0.1


@dataclass(frozen=True)
class Estimate:
    """What may be shown of a group's curves. `end` is the last day drawn."""

    curve: list[CurvePoint]
    end: int
    stops_at: int | None
    half: Half | None
    median: MedianRange | None = None
    middle: tuple[int, int] | None = None
    band: list[BandPoint] | None = None


def how_much(ready: int, cuts: int) -> Show:
    """What `ready` ready pieces of `cuts` cuts allow."""
    if ready < FEWEST_READY or cuts < CUTS_FOR_CURVE:
        return "range"
    if cuts < CUTS_FOR_INTERVAL or ready < READY_FOR_INTERVAL:
        return "curve"
    return "full"


def estimate(rows: IntervalRows, show: Show) -> Estimate | None:
    """The curves of these rows; None where only the range is shown. NotSettledError may rise."""
    if show == "range":
        return None
    fit = fit_incidence(rows)
    stop = stop_day(rows)
    end = stop - 1 if stop is not None else int(rows.right.max())
    found = Estimate(_curve(fit, end), end, stop, _half(fit, end))
    if show == "curve":
        return found
    band = band_of(fit, Cause.READY, replicates_of(rows, fit))
    return Estimate(
        found.curve, end, stop, found.half, _median(fit, band, end), _middle(fit, end),
        _band(band, end),
    )  # fmt: skip


def stop_day(rows: IntervalRows) -> int | None:
    """The first day on which too few are still watched while some left the watch unresolved.

    A piece is watched up to the look that found it ready or lost, else to the last look at itself.
    """
    still = rows.cause == Cause.STILL
    last = np.where(still, rows.left, rows.right)
    size = int(last.max(initial=0)) + 1
    # Index t - 1 is day t = 1, ..., size: pieces whose watch ended before it.
    over = np.cumsum(np.bincount(last, rows.weight, size))
    unresolved = np.cumsum(np.bincount(last[still], rows.weight[still], size))
    limit = max(float(FEWEST_WATCHED), SHARE_WATCHED * rows.pieces)
    few = (rows.pieces - over < limit) & (unresolved > 0)
    return int(np.argmax(few)) + 1 if few.any() else None


def _curve(fit: Incidence, end: int) -> list[CurvePoint]:
    found = np.unique(np.concatenate((fit.ready.change_days(), fit.lost.change_days(), [0, end])))
    days = found[found <= end]
    columns = (*fit.ready.bounds(days), *fit.lost.bounds(days))
    shares = zip(*(column.tolist() for column in columns), strict=True)
    return [CurvePoint(day, *each) for day, each in zip(days.tolist(), shares, strict=True)]


def _band(band: Band, end: int) -> list[BandPoint]:
    days = [int(day) for day in np.unique(np.append(band.days, end)) if day <= end]
    return [BandPoint(day, *band.at(day)) for day in days]


def _half(fit: Incidence, end: int) -> Half | None:
    found = fit.ready.quantile(0.5)
    return None if found is None or found[1] > end else Half(*found)


def _median(fit: Incidence, band: Band, end: int) -> MedianRange | None:
    """The band's range, cut off where the curve is; beyond that only 'at least' can be said."""
    found = band.quantile(0.5)
    if found is None:
        # Every fate known and half not reached even at the upper limit: there is no such day.
        return MedianRange(end + 1, None) if fit.tail_mass > 0.0 else None
    beyond = found.high is None or found.high > end
    return MedianRange(min(found.low, end + 1), None if beyond else found.high)


def _middle(fit: Incidence, end: int) -> tuple[int, int] | None:
    first, third = fit.ready.quantile(0.25), fit.ready.quantile(0.75)
    if first is None or third is None or third[1] > end:
        return None
    return first[0] + 1, third[1]
