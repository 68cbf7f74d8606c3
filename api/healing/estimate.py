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
from api.healing.incidence import Incidence
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


def ready_band(rows: IntervalRows, fit: Incidence) -> Band:
    """The 95 % band of the share ready; `fit` must be of these rows."""
    return band_of(fit, Cause.READY, replicates_of(rows, fit))


def shown_of(rows: IntervalRows, fit: Incidence, band: Band | None) -> Estimate:
    """What may be shown of a fit, without a band the curve alone."""
    stop = stop_day(rows)
    end = last_drawn(rows, stop)
    curve, half = _curve(fit, end), days_of(fit, 0.5, end)
    if band is None:
        return Estimate(curve, end, stop, half)
    return Estimate(
        curve, end, stop, half, range_of(fit, band, 0.5, end), _middle(fit, end), _band(band, end)
    )  # fmt: skip


def last_drawn(rows: IntervalRows, stop: int | None) -> int:
    """The last day drawn of a curve whose `stop_day` is `stop`."""
    return int(rows.right.max()) if stop is None else stop - 1


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


def days_of(fit: Incidence, share: float, end: int) -> Half | None:
    """The days on which `share` of the pieces may first be ready; None beyond the curve's end."""
    found = fit.ready.quantile(share)
    return None if found is None or found[1] > end else Half(*found)


def range_of(fit: Incidence, band: Band, share: float, end: int) -> MedianRange | None:
    """The band's range, cut off where the curve is; beyond that only 'at least' can be said."""
    found = band.quantile(share)
    if found is None:
        # Every fate known and the share not reached even at the upper limit: no such day.
        return MedianRange(end + 1, None) if fit.tail_mass > 0.0 else None
    beyond = found.high is None or found.high > end
    return MedianRange(min(found.low, end + 1), None if beyond else found.high)


def _middle(fit: Incidence, end: int) -> tuple[int, int] | None:
    first, third = fit.ready.quantile(0.25), fit.ready.quantile(0.75)
    if first is None or third is None or third[1] > end:
        return None
    return first[0] + 1, third[1]
