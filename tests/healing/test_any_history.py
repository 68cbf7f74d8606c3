"""Any history of a piece gives the row that its definition says, whatever met in it."""

from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tests.healing.piece_watch import (
    AGAIN,
    CUT_AGAIN,
    DEAD,
    LOOK,
    MISSING,
    SALE,
    SOLD,
    SWEPT,
    Seen,
    watch,
)
from tests.healing.watched import Watch

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
    first = len(seen) if again is None else again[0]
    return still([d for i, d in full if i < first], [d for i, d in alive if i < first],
                 gone=out < len(seen), again=again is not None)  # fmt: skip


def still(full: list[float], alive: list[float], *, gone: bool, again: bool) -> Watch:
    """Neither ready nor lost: days of the looks at the piece itself, and of seeing it alive."""
    if not alive:
        return Watch("never-checked")
    days = sorted(set(full))
    gap = None if again or len(days) < 2 else days[-1] - days[-2]
    fate = "withdrawn" if again or gone else "healing"
    return Watch(fate, max(days, default=0), max(alive), gap)
