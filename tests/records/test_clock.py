"""Device clocks: what is corrected, what is held back, and that two records never change places."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.records.clock import (
    EARLIEST_MS,
    FLAG_MS,
    NOISE_MS,
    Corrected,
    Sent,
    correct,
    milliseconds,
    moment,
    settle_skew,
)
from api.records.fields import Observed

NOW = 1_775_000_000_000
HOUR = 3_600_000


def observed(at: int, session: str | None = None, tick: int | None = None) -> Observed:
    return Observed(at=moment(at), offset=0, zone="UTC", session=session, tick=tick)


def test_moments_and_milliseconds_are_each_others_inverse() -> None:
    assert milliseconds("2026-03-01T09:12:00.123Z") == 1_772_356_320_123
    assert moment(1_772_356_320_123) == "2026-03-01T09:12:00.123Z"
    assert moment(0) == "1970-01-01T00:00:00.000Z"


@given(st.integers(min_value=0, max_value=4_102_444_800_000))
def test_every_millisecond_survives(ms: int) -> None:
    assert milliseconds(moment(ms)) == ms


@pytest.mark.parametrize(
    ("known", "ahead", "settled"),
    [
        (0, 900, 0),  # the network's doing
        (0, -NOISE_MS, 0),
        (0, 2 * HOUR, 2 * HOUR),
        (2 * HOUR, 2 * HOUR + 900, 2 * HOUR),  # as known, and a little noise
        (2 * HOUR, 2 * HOUR - NOISE_MS, 2 * HOUR),
        (2 * HOUR, 5 * HOUR, 5 * HOUR),  # set again, and wrong again
        (2 * HOUR, -40, 0),  # put right
        (-31_000, -29_000, -31_000),  # about as far off as the noise: it stays as it was known
        (0, -31_000, -31_000),
    ],
)
def test_skew_moves_only_when_it_has_clearly_moved(known: int, ahead: int, settled: int) -> None:
    assert settle_skew(known, NOW + ahead, NOW) == settled


RUN = Sent(NOW, "run", 700_000)


@pytest.mark.parametrize(
    ("seen", "sent", "skew", "found"),
    [
        (observed(NOW - 5000), RUN, 0, Corrected(NOW - 5000)),
        (observed(NOW - 5000 + 2 * HOUR), RUN, 2 * HOUR, Corrected(NOW - 5000)),
        # Recorded two hours ahead, ten minutes ago in this run; then the clock was put right.
        (observed(NOW + 2 * HOUR, "run", 100_000), RUN, 0, Corrected(NOW - 600_000)),
        # The same in an earlier run, whose ticks prove nothing.
        (observed(NOW + 2 * HOUR, "before", 100_000), RUN, 0, Corrected(NOW, "future")),
        # Ticks stop while a phone sleeps: they say only how old a record is at least.
        (observed(NOW - 9 * HOUR, "run", 699_000), RUN, 0, Corrected(NOW - 9 * HOUR)),
        (observed(NOW + FLAG_MS), RUN, 0, Corrected(NOW + FLAG_MS)),
        (observed(NOW + FLAG_MS + 1), RUN, 0, Corrected(NOW, "future")),
        (observed(EARLIEST_MS), RUN, 0, Corrected(EARLIEST_MS)),
        (observed(EARLIEST_MS - 1), RUN, 0, Corrected(NOW, "past")),
        (observed(NOW), RUN, 10**15, Corrected(NOW, "past")),
        (observed(NOW, "run", 0), Sent(NOW, "run", 10**30), 0, Corrected(NOW, "past")),
        (observed(NOW, "run", 10**30), RUN, 0, Corrected(NOW)),
    ],
)
def test_when_it_was_really_seen(seen: Observed, sent: Sent, skew: int, found: Corrected) -> None:
    assert correct(seen, sent, skew, NOW) == found


def test_summer_time_never_enters_since_devices_send_utc() -> None:
    """The hour that Lisbon lives twice on 25 October 2026 (IANA tz database, rules of the EU)."""
    change = milliseconds("2026-10-25T01:00:00.000Z")
    stamps = [
        Observed(at=moment(change + step), offset=offset, zone="Europe/Lisbon")
        for step, offset in ((-60_000, 60), (60_000, 0))
    ]
    sent = Sent(change + HOUR, None, None)
    times = [correct(stamp, sent, 0, change + HOUR).at for stamp in stamps]
    assert times == [change - 60_000, change + 60_000]


@given(
    st.integers(min_value=-10 * HOUR, max_value=10 * HOUR),
    st.lists(st.integers(min_value=0, max_value=4000), min_size=2, max_size=12),
    st.integers(min_value=1, max_value=HOUR),
)
def test_two_records_of_one_phone_never_swap(ahead: int, late: list[int], apart: int) -> None:
    """Each pushed by itself after another delay of the network, its clock off by `ahead` all along.

    Where the clock is ahead by so nearly NOISE_MS that the delay decides, the known skew may move
    once, from none, and swap two records there; after that it never moves again.
    """
    times, skews, known = [], [], 0
    for number, delay in enumerate(late):
        made = NOW + number * apart
        known = settle_skew(known, made + ahead, made + delay)
        stamp = Sent(made + ahead, None, None)
        times.append(correct(observed(made + ahead), stamp, known, made + delay).at)
        skews.append(known)
    settled = skews.index(known)
    assert set(skews[:settled]) <= {0}
    assert times[settled:] == sorted(times[settled:])
    assert abs(times[-1] - (NOW + (len(late) - 1) * apart)) <= NOISE_MS + 4000
    if not NOISE_MS < ahead <= NOISE_MS + 4000:
        assert times == sorted(times)
