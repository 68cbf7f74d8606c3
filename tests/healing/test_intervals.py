"""What was seen of one piece, as an interval of days since its cut; each trap has its name here.

Days are worked out by hand. The zone is five hours ahead of UTC, so that 18:59 and 19:00 UTC are
two days; the cut was on 1 March.
"""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.healing.intervals import Watch, days, interval, left_out
from api.healing.rows import MAX_DAY, Cause
from api.stock.fold import fold
from api.stock.state import Begun, Claim, LossEvent, PieceState
from tests.stock.records import CUT, PIECE, SITTING, decoded, entry, record_id

ZONE = "Indian/Maldives"
FIRST = date(2026, 3, 1)
CUT_DAY = FIRST.isoformat()
OTHER_CUT = CUT[:-1] + "2"

Seen = tuple[float, str, dict[str, Any]]
LOOK: dict[str, Any] = {"mouth": "bud"}
SWEPT: dict[str, Any] = {"swept": True}
SALE, AGAIN = {"for": "sale"}, {"for": "cut"}
DEAD, MISSING = {"how": "dead"}, {"how": "missing"}
SOLD = {"how": "dispatched"}
CUT_AGAIN = {"sitting": SITTING, "mother": PIECE, "method": "method.saw"}


def piece(*seen: Seen, glued: float = 0, retracted: set[int] | None = None) -> PieceState:
    """The fold of a piece glued on day `glued`; records are numbered from 2 in the order given."""
    body = {"cut": CUT, "base": "base.hex", "purpose": "sale"}
    every = [(glued, "glue", body), *seen]
    entries = [
        entry(number, moment(day), kind, body, ("cut", OTHER_CUT) if kind in ("cut", "cut_end")
              else ("piece", PIECE))
        for number, (day, kind, body) in enumerate(every, 1)
    ]  # fmt: skip
    return fold(PIECE, decoded(entries), {record_id(n) for n in retracted or ()}, ZONE)


def moment(day: float) -> str:
    """Day 0 is 1 March at 10:00 there; a fraction moves the hour."""
    whole = int(day)
    hour = 5 + round((day - whole) * 24)
    return f"{(FIRST + timedelta(days=whole)).isoformat()} {hour:02d}:00"


def watch(*seen: Seen, endpoint: str = "sale", **more: Any) -> Watch:
    return interval(piece(*seen, **more), CUT_DAY, endpoint)  # type: ignore[arg-type]


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
    assert [days("2024-02-28", "2024-03-01"), days("2026-02-28", "2026-03-01")] == [2, 1]


KINDS: list[tuple[str, dict[str, Any]]] = [
    ("check", LOOK), ("check", SWEPT), ("ready", SALE), ("ready", AGAIN), ("loss", DEAD),
    ("loss", MISSING), ("exit", SOLD), ("cut", CUT_AGAIN),
]  # fmt: skip
histories = st.lists(st.tuples(st.integers(0, 60), st.sampled_from(KINDS)), max_size=8)


@given(histories)
def test_any_history_makes_the_row_that_its_definition_says(history):
    """A second way, straight from the records: the sets of days on which each thing was seen."""
    ordered = [(day, kind, body) for day, (kind, body) in sorted(history, key=lambda h: h[0])]
    found = watch(*ordered)
    assert found == defined(ordered)
    assert found.cause is None or 0 <= found.left <= found.right
    if found.fate in ("ready", "lost"):
        assert found.left < found.right


def defined(seen: list[Seen]) -> Watch:
    """The row by definition, for readiness for sale. `seen` is in the order of time."""
    out = next((i for i, (_, kind, _) in enumerate(seen) if kind == "exit"), len(seen))
    looks = [(i, *one) for i, one in enumerate(seen[:out]) if one[1] != "cut"]
    again = next(((i, day) for i, (day, kind, _) in enumerate(seen) if kind == "cut"), None)
    full = [(i, d) for i, d, kind, body in looks if kind == "ready" or body is LOOK]
    alive = [(i, d) for i, d, kind, _ in looks if kind != "loss"]
    ready = [(i, d) for i, d, kind, body in looks if body is SALE]
    last_alive = max((i for i, _ in alive), default=-1)
    losses = [(i, d, body) for i, d, kind, body in looks if kind == "loss" and i > last_alive]
    if again is not None:
        ready = [(i, d) for i, d in ready[:1] if d <= again[1]]
        losses = [one for one in losses if losses[0][1] < again[1]]
    missing = bool(losses) and all(body is MISSING for *_, body in losses)
    if ready:
        day = ready[0][1]
        before = {d for i, d in full if d < day and i < ready[0][0]}
        left = max(before, default=0)
        right = max(left + 1, day)
        return Watch("ready", left, right, right - left, not before, lost_after_ready=bool(losses))
    if losses:
        before = {d for _, d in alive if d < losses[0][1]}
        left = max(before, default=0)
        return Watch("lost", left, max(left + 1, losses[0][1]), None, not before, missing)
    if again is not None:
        full, alive = ([one for one in rows if one[0] < again[0]] for rows in (full, alive))
    if not alive:
        return Watch("never-checked")
    days_full = sorted({d for _, d in full})
    gap = None if again is not None or len(days_full) < 2 else days_full[-1] - days_full[-2]
    fate = "withdrawn" if again is not None or out < len(seen) else "healing"
    return Watch(fate, max(days_full, default=0), max(d for _, d in alive), gap)
