"""Device clocks: what is corrected, what is held back, and that two records never change places."""

from hypothesis import given
from hypothesis import strategies as st

from api.records.clock import (
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


def test_network_noise_is_no_skew_and_a_known_skew_stays() -> None:
    assert settle_skew(0, NOW + 900, NOW) == 0
    assert settle_skew(0, NOW + 2 * HOUR, NOW) == 2 * HOUR
    assert settle_skew(2 * HOUR, NOW + 2 * HOUR + 900, NOW) == 2 * HOUR
    assert settle_skew(2 * HOUR, NOW + 5 * HOUR, NOW) == 5 * HOUR
    assert settle_skew(2 * HOUR, NOW - 40, NOW) == 0


def test_a_clock_set_back_after_the_record_cannot_put_it_in_the_future() -> None:
    """Recorded two hours ahead ten minutes ago, then the clock was put right."""
    sent = Sent(NOW, "run", 700_000)
    assert correct(observed(NOW + 2 * HOUR, "run", 100_000), sent, 0, NOW) == Corrected(
        NOW - 600_000, clamped=False
    )
    restarted = Sent(NOW, "another run", 5)
    assert correct(observed(NOW + 2 * HOUR, "run", 100_000), restarted, 0, NOW) == Corrected(
        NOW, clamped=True
    )


def test_a_phone_that_slept_keeps_its_clock() -> None:
    """Ticks stop in sleep: they say only how old a record is at least."""
    sent = Sent(NOW, "run", 2000)
    assert correct(observed(NOW - 9 * HOUR, "run", 1000), sent, 0, NOW) == Corrected(
        NOW - 9 * HOUR, clamped=False
    )


@given(
    st.integers(min_value=-10 * HOUR, max_value=10 * HOUR),
    st.lists(st.integers(min_value=0, max_value=4000), min_size=2, max_size=2),
    st.integers(min_value=1, max_value=HOUR),
)
def test_two_records_of_one_phone_never_swap(skew: int, late: list[int], apart: int) -> None:
    """Each pushed by itself, with another network delay, so that two skews are measured."""
    times, known = [], 0
    for number, delay in enumerate(late):
        true = NOW + number * apart
        arrived = true + delay
        known = settle_skew(known, true + skew, arrived)
        found = correct(observed(true + skew), Sent(true + skew, None, None), known, arrived)
        times.append(found.at)
    assert times[0] <= times[1] or abs(abs(skew) - NOISE_MS) < 5000 or skew > FLAG_MS
