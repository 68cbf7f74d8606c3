"""What was seen of one piece, as an interval of days since its cut; each trap has its name here.

Days are worked out by hand.
"""

from datetime import timedelta

import pytest

from api.healing.rows import MAX_DAY, Cause
from api.stock.facts import ordinal
from api.stock.fold import fold
from api.stock.state import Begun, Claim, LossEvent, PieceState
from tests.healing.piece_watch import (
    AGAIN,
    CUT_AGAIN,
    CUT_DAY,
    DEAD,
    FIRST,
    LOOK,
    MISSING,
    SALE,
    SOLD,
    SWEPT,
    ZONE,
    Seen,
    interval,
    left_out,
    piece,
    watch,
)
from tests.healing.watched import Watch
from tests.stock.records import CUT, PIECE, decoded, entry


def test_ready_between_two_looks():
    found = watch((7, "check", LOOK), (14, "check", LOOK), (21, "ready", SALE))
    assert found == Watch("ready", 14, 21, gap=7)
    assert found.cause == Cause.READY


def test_left_end_of_one_is_the_right_end_of_another():
    """(7, 14] and (14, 21] do not meet: day 14 belongs to the first alone."""
    one = watch((7, "check", LOOK), (14, "ready", SALE))
    other = watch((14, "check", LOOK), (21, "ready", SALE))
    assert (one.left, one.right, other.left, other.right) == (7, 14, 14, 21)


def test_ready_or_lost_at_the_first_look_is_never_dropped():
    assert watch((12, "ready", SALE)) == Watch("ready", 0, 12, gap=12, first=True)
    assert watch((12, "loss", DEAD)) == Watch("lost", 0, 12, first=True)


def test_ready_or_lost_on_the_day_of_the_cut_is_put_on_day_one():
    assert watch((0.1, "ready", SALE)) == Watch("ready", 0, 1, gap=1, first=True)
    assert watch((0.1, "loss", DEAD)) == Watch("lost", 0, 1, first=True)
    assert watch((0.1, "check", LOOK), (0.2, "loss", DEAD)) == Watch("lost", 0, 1, first=True)


def test_seen_and_ready_on_one_day_counts_from_the_day_looked_at_before():
    found = watch((7, "check", LOOK), (14, "check", LOOK), (14.1, "ready", SALE))
    assert found == Watch("ready", 7, 14, gap=7)


def test_still_healing_ends_at_the_last_look_not_today():
    found = watch((7, "check", LOOK), (19, "check", LOOK))
    assert found == Watch("healing", 19, 19, gap=12)
    assert found.cause == Cause.STILL


def test_a_swept_look_moves_the_last_seen_alive_bound_only():
    assert watch((7, "check", LOOK), (21, "check", SWEPT)) == Watch("healing", 7, 21)
    assert watch((21, "check", SWEPT)) == Watch("healing", 0, 21)
    ready = watch((7, "check", LOOK), (21, "check", SWEPT), (28, "ready", SALE))
    assert ready == Watch("ready", 7, 28, gap=21)
    lost = watch((7, "check", LOOK), (21, "check", SWEPT), (28, "loss", DEAD))
    assert lost == Watch("lost", 21, 28)


def test_never_checked_is_no_row_and_never_healing():
    for state in (watch(), watch((9, "exit", SOLD)), watch((9, "cut", CUT_AGAIN))):
        assert state == Watch("never-checked")
        assert state.cause is None


def test_sold_or_cut_again_before_ready_is_withdrawn_at_the_last_looks():
    before: list[Seen] = [(7, "check", LOOK), (14, "check", SWEPT)]
    assert watch(*before, (15, "exit", SOLD)) == Watch("withdrawn", 7, 14)
    cut = watch(*before, (15, "cut", CUT_AGAIN), (30, "check", LOOK), (40, "ready", SALE))
    assert cut == Watch("withdrawn", 7, 14)
    gone = watch(*before, (15, "cut", CUT_AGAIN), (15.1, "cut_end", {"remains": "used-up"}))
    assert gone == Watch("withdrawn", 7, 14)


def test_lost_after_being_cut_again_is_another_wound():
    before: list[Seen] = [(7, "check", LOOK), (15, "cut", CUT_AGAIN)]
    assert watch(*before, (15.1, "loss", DEAD)) == Watch("withdrawn", 7, 7)
    assert watch(*before, (20, "loss", DEAD)) == Watch("withdrawn", 7, 7)
    ready = watch((7, "check", LOOK), (10, "ready", SALE), (15, "cut", CUT_AGAIN),
                  (20, "loss", DEAD))  # fmt: skip
    assert ready == Watch("ready", 7, 10, gap=3)


def test_lost_before_being_cut_again_stays_lost():
    found = watch((7, "check", LOOK), (10, "loss", DEAD), (15, "cut", CUT_AGAIN))
    assert found == Watch("lost", 7, 10)


def test_ready_and_cut_on_the_same_day_is_ready():
    found = watch((7, "check", LOOK), (15, "ready", AGAIN), (15.1, "cut", CUT_AGAIN),
                  endpoint="cut")  # fmt: skip
    assert found == Watch("ready", 7, 15, gap=8)


def test_ready_then_receded_counts_from_the_first_readiness():
    found = watch((7, "check", LOOK), (14, "ready", SALE), (21, "check", {"recession": "half"}),
                  (28, "ready", SALE))  # fmt: skip
    assert found == Watch("ready", 7, 14, gap=7)


def test_ready_then_lost_counts_ready_with_the_loss_apart():
    found = watch((7, "check", LOOK), (14, "ready", SALE), (21, "loss", DEAD))
    assert found == Watch("ready", 7, 14, gap=7, lost_after_ready=True)


def test_ready_then_sold_is_ready():
    found = watch((7, "check", LOOK), (14, "ready", SALE), (21, "exit", SOLD))
    assert found == Watch("ready", 7, 14, gap=7)


def test_lost_then_seen_alive_is_no_loss():
    found = watch((7, "check", LOOK), (14, "loss", MISSING), (21, "check", LOOK))
    assert found == Watch("healing", 21, 21, gap=14)


def test_lost_then_culled_stays_lost():
    found = watch((7, "check", LOOK), (14, "loss", DEAD), (14.1, "exit", {"how": "culled"}))
    assert found == Watch("lost", 7, 14)


def test_missing_is_marked_and_found_dead_later_is_not():
    before: list[Seen] = [(7, "check", LOOK), (14, "loss", MISSING)]
    assert watch(*before) == Watch("lost", 7, 14, missing=True)
    assert watch(*before, (30, "loss", DEAD)) == Watch("lost", 7, 14)


def test_a_retraction_rebuilds_the_interval():
    seen: list[Seen] = [(7, "check", LOOK), (14, "ready", SALE), (21, "check", LOOK)]
    assert watch(*seen) == Watch("ready", 7, 14, gap=7)
    assert watch(*seen, retracted={3}) == Watch("healing", 21, 21, gap=14)
    assert watch(*seen, retracted={2}) == Watch("ready", 0, 14, gap=14, first=True)


def test_the_two_endpoints_are_two_answers():
    seen: list[Seen] = [(7, "check", LOOK), (14, "ready", AGAIN), (28, "ready", SALE)]
    assert watch(*seen, endpoint="cut") == Watch("ready", 7, 14, gap=7)
    assert watch(*seen) == Watch("ready", 14, 28, gap=14)
    assert watch(*seen[:2]) == Watch("healing", 14, 14, gap=7)


def test_the_clock_starts_at_the_cut_not_at_the_gluing():
    seen: list[Seen] = [(7, "check", LOOK), (14, "ready", SALE)]
    assert watch(*seen, glued=1) == watch(*seen, glued=0) == Watch("ready", 7, 14, gap=7)


def test_days_are_local_dates_of_the_facility():
    """18:59 UTC is still 8 March there, 19:00 is 9 March."""
    glue = entry(1, "2026-03-01 05:00", "glue", {"cut": CUT, "base": "b", "purpose": "sale"})
    evening = entry(2, "2026-03-08 18:59", "check", LOOK)
    night = entry(3, "2026-03-08 19:00", "ready", SALE)
    state = fold(PIECE, decoded([glue, evening, night]), set(), ZONE)
    assert interval(state, CUT_DAY, "sale") == Watch("ready", 7, 8, gap=1)
    in_utc = fold(PIECE, decoded([glue, evening, night]), set(), "UTC")
    assert interval(in_utc, CUT_DAY, "sale") == Watch("ready", 0, 7, gap=7, first=True)


@pytest.mark.parametrize(
    ("glued", "cut_day", "retracted", "reason"),
    [
        (0, "2026-03-01", False, None),
        (2, "2026-03-01", False, None),
        (3, "2026-03-01", False, "registered-late"),
        (0, "2026-03-02", False, "glued-before-cut"),
        (0, "2026-03-01", True, "cut-retracted"),
        (9, "2026-03-01", True, "cut-retracted"),
    ],
)
def test_pieces_that_may_not_be_counted(glued, cut_day, retracted, reason):
    assert left_out(piece(glued=glued), cut_day, retracted) == reason


@pytest.mark.parametrize(("ages", "reason"), [(MAX_DAY, None), (MAX_DAY + 1, "wrong-date")])
@pytest.mark.parametrize("field", ["alive", "loss"])
def test_a_date_that_cannot_be_right_is_left_out(field, ages, reason):
    last = (FIRST + timedelta(days=ages)).isoformat()
    state = PieceState(id=PIECE, begun=Begun("glue", "r", 0, CUT_DAY), codes=[Claim("x", 0, "r")])
    setattr(state, field, last if field == "alive" else LossEvent("r", None, last, "dead"))
    assert left_out(state, CUT_DAY, False) == reason


def test_days_between_dates_count_the_leap_day():
    days = [ordinal(day) for day in ("2024-02-28", "2024-03-01", "2026-02-28", "2026-03-01")]
    assert (days[1] - days[0], days[3] - days[2], ordinal(None)) == (2, 1, 0)
