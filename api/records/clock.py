"""A device's clock error, and the corrected time of what it recorded.

The server never orders by a device's own clock alone. It measures the skew at each push and keeps
the last value until it moves by more than the network's noise, so that two pushes of one phone
cannot swap two of its records. Times are UTC milliseconds.
"""

import time
from datetime import UTC, datetime
from typing import Literal, NamedTuple

from api.records.fields import Observed

NOISE_MS = 30_000
"""Skews closer than this to the one known are the network's doing."""
FLAG_MS = 300_000
"""A clock further off than this is told to the person."""
EARLIEST_MS = 946_684_800_000
"""2000-01-01 UTC: a clock that shows less has lost its battery or was never set."""


class Sent(NamedTuple):
    """The device's clock and monotonic tick when it sent the batch."""

    at: int
    session: str | None
    tick: int | None


class Corrected(NamedTuple):
    """`at` is the corrected time, that of arrival where the record's own cannot be.

    `beyond` says which way it cannot be: it would lie in the future, or before EARLIEST_MS.
    """

    at: int
    beyond: Literal["future", "past"] | None = None


def milliseconds(moment: str) -> int:
    """'2026-03-01T09:12:00.123Z' as UTC milliseconds. Raises ValueError for no such time."""
    parsed = datetime.fromisoformat(moment)
    return round(parsed.timestamp() * 1000)


def moment(ms: int) -> str:
    """UTC milliseconds as '2026-03-01T09:12:00.123Z'."""
    stamp = datetime.fromtimestamp(ms / 1000, UTC)
    return stamp.strftime("%Y-%m-%dT%H:%M:%S.") + f"{ms % 1000:03d}Z"


def now_ms() -> int:
    """This server's time, UTC milliseconds."""
    return time.time_ns() // 1_000_000


def settle_skew(known: int, sent_at: int, now: int) -> int:
    """The device's skew (its clock less ours): the known one unless it has clearly moved.

    The known one comes first: a clock that is off by about NOISE_MS must not be taken now as
    right and now as wrong, since that would swap records.
    """
    measured = sent_at - now
    if abs(measured - known) <= NOISE_MS:
        return known
    return 0 if abs(measured) <= NOISE_MS else measured


def correct(observed: Observed, sent: Sent, skew: int, now: int) -> Corrected:
    """When it was really seen: the observed time less the skew, held back by what cannot be.

    Within one run of the app the monotonic tick proves that a record is at least so old; it may
    be older, since ticks stop while a phone sleeps. So a clock set back between record and push
    cannot put the record after that, and nothing lies in the future by more than FLAG_MS, or
    before EARLIEST_MS.
    """
    at = milliseconds(observed.at) - skew
    if observed.tick is not None and sent.tick is not None and observed.session == sent.session:
        latest = now - (sent.tick - observed.tick)
        if at > latest + NOISE_MS:
            at = latest
    if at > now + FLAG_MS:
        return Corrected(now, "future")
    if at < EARLIEST_MS:
        return Corrected(now, "past")
    return Corrected(at)
