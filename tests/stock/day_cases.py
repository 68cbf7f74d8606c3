"""Local dates where it is easy to be wrong by one day, with the date worked out by hand."""

from random import Random
from typing import Any

from tests.stock.records import ms

HAND = [
    # name, zone, UTC, local date
    ("the evening before the short day", "Europe/Berlin", "2026-03-28 22:59:59", "2026-03-28"),
    ("midnight before the clocks go forward", "Europe/Berlin", "2026-03-28 23:00", "2026-03-29"),
    ("the evening of the short day", "Europe/Berlin", "2026-03-29 21:59:59.999", "2026-03-29"),
    ("midnight after the short day", "Europe/Berlin", "2026-03-29 22:00", "2026-03-30"),
    ("midnight before the clocks go back", "Europe/Berlin", "2026-10-24 22:00", "2026-10-25"),
    ("the evening of the long day", "Europe/Berlin", "2026-10-25 22:59:59.999", "2026-10-25"),
    ("midnight after the long day", "Europe/Berlin", "2026-10-25 23:00", "2026-10-26"),
    ("half an hour off, before midnight", "America/St_Johns", "2026-01-10 03:29", "2026-01-09"),
    ("half an hour off, winter, midnight", "America/St_Johns", "2026-01-10 03:30", "2026-01-10"),
    ("half an hour off, summer, midnight", "America/St_Johns", "2026-07-10 02:30", "2026-07-10"),
    ("half-hour change, summer", "Australia/Lord_Howe", "2026-01-10 13:00", "2026-01-11"),
    ("half-hour change, winter", "Australia/Lord_Howe", "2026-07-10 13:29", "2026-07-10"),
    ("three quarters of an hour", "Asia/Kathmandu", "2026-05-01 18:15", "2026-05-02"),
    ("a minute before that midnight", "Asia/Kathmandu", "2026-05-01 18:14", "2026-05-01"),
    ("fourteen hours ahead", "Pacific/Kiritimati", "2026-05-01 10:00", "2026-05-02"),
    ("eleven hours behind", "Pacific/Pago_Pago", "2026-05-01 10:59", "2026-04-30"),
    ("the last moment before a left-out date", "Pacific/Apia", "2011-12-30 09:59:59", "2011-12-29"),
    ("the moment after it", "Pacific/Apia", "2011-12-30 10:00", "2011-12-31"),
    ("the leap day of 2028", "Indian/Maldives", "2028-02-28 19:00", "2028-02-29"),
    ("the day after it", "Indian/Maldives", "2028-02-29 19:00", "2028-03-01"),
    ("the leap day of a fourth century", "UTC", "2000-02-29 12:00", "2000-02-29"),
    ("no leap day in 2100", "UTC", "2100-02-28 23:59:59.999", "2100-02-28"),
    ("and the day after", "UTC", "2100-03-01 00:00", "2100-03-01"),
    ("the first moment of all", "UTC", "1970-01-01 00:00", "1970-01-01"),
    ("the first moment of all, west of it", "America/New_York", "1970-01-01 00:00", "1969-12-31"),
    ("a clock that has lost its battery", "Asia/Manila", "1980-01-05 17:00", "1980-01-06"),
]  # fmt: skip

BETWEEN = [
    ("2026-03-28", "2026-03-30", 2),
    ("2026-10-24", "2026-10-26", 2),
    ("2028-02-28", "2028-03-01", 2),
    ("2026-02-28", "2026-03-01", 1),
    ("2026-01-01", "2027-01-01", 365),
    ("2028-01-01", "2029-01-01", 366),
    ("2026-03-05", "2026-03-05", 0),
    ("2026-03-05", "2026-03-01", -4),
    ("1999-12-31", "2000-03-01", 61),
]

ZONES = [
    "UTC", "Europe/Berlin", "Europe/London", "America/New_York", "America/St_Johns",
    "America/Sao_Paulo", "America/Los_Angeles", "Pacific/Honolulu", "Pacific/Kiritimati",
    "Pacific/Apia", "Pacific/Chatham", "Pacific/Pago_Pago", "Australia/Lord_Howe",
    "Australia/Sydney", "Australia/Adelaide", "Asia/Kathmandu", "Asia/Kolkata", "Asia/Manila",
    "Asia/Jakarta", "Asia/Tehran", "Indian/Maldives", "Africa/Nairobi", "Asia/Tokyo",
    "Atlantic/Azores",
]  # fmt: skip


def random_moments(random: Random, count: int) -> list[tuple[str, int]]:
    """Zones with UTC milliseconds from 1971 to 2036, every second one close to a midnight there."""
    found = []
    for number in range(count):
        at = random.randrange(ms("1971-01-01 00:00"), ms("2037-01-01 00:00"))
        if number % 2:
            quarter = 15 * 60_000
            at = at // quarter * quarter - number % 3
        found.append((random.choice(ZONES), at))
    return found


def hand() -> list[dict[str, Any]]:
    return [
        {"name": name, "zone": zone, "at": ms(moment), "day": day}
        for name, zone, moment, day in HAND
    ]
