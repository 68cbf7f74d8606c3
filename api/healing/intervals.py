"""One piece's healing as an interval of whole days since its cut. Pure.

Days are differences of the facility's local dates and the clock starts at the cut, whenever the
piece was glued. Intervals are half-open, (left, right]: `left` the last look that had not seen
the event, `right` the look that found it. What counts is what was seen, never what day it is now:

    ready, then lost             ready: the loss came after
    ready or lost on day 0       (0, 1]
    lost                         (last seen alive at all, day of the loss], sweeps included
    sold, moved on or cut again  withdrawn with the last looks before that
    never looked at              no row at all
"""

from datetime import date
from functools import lru_cache
from typing import Literal

from msgspec import Struct

from api.healing.rows import MAX_DAY, Cause
from api.records.fields import Endpoint
from api.stock.state import Event, LossEvent, PieceState

Fate = Literal["ready", "lost", "healing", "withdrawn", "never-checked"]
Reason = Literal["cut-retracted", "glued-before-cut", "registered-late", "wrong-date"]

REGISTERED_WITHIN = 2
"""Days a gluing may run on after the cut (common practice, no source: what is not glued while the
wound is fresh is not glued). A piece first known later than that had outlived others which nobody
counted, so taking it in would make losses look rare."""

CAUSES = {
    "ready": Cause.READY,
    "lost": Cause.LOST,
    "healing": Cause.STILL,
    "withdrawn": Cause.STILL,
}


class Watch(Struct, frozen=True):
    """What was seen of one piece's healing, in days since its cut.

    left, right       ready or lost: the event lies in (left, right]. Healing or withdrawn: the
                      last day somebody looked at the piece itself and did not call it ready, and
                      the last day it was seen alive at all; right >= left
    gap               days between the two newest looks at the piece itself (when it was ready:
                      up to that look, and from the cut where there was none before); else None
    first             the event was found at the very first look
    missing           lost in the sense of not being found
    lost_after_ready  lost after it had been ready
    """

    fate: Fate
    left: int = 0
    right: int = 0
    gap: int | None = None
    first: bool = False
    missing: bool = False
    lost_after_ready: bool = False

    @property
    def cause(self) -> Cause | None:
        """The row's cause; None for a piece that was never looked at, which is no row."""
        return CAUSES.get(self.fate)


def interval(state: PieceState, cut_day: str, endpoint: Endpoint) -> Watch:
    """A glued piece's healing towards `endpoint`, from its state and its cut's local date."""
    ready = state.ready_sale if endpoint == "sale" else state.ready_cut
    loss = state.loss
    if state.withdrawn is not None:
        # From the day it was itself cut a piece heals from another wound. Readiness recorded on
        # that day was the reason to cut it; a loss on that day was the cut's doing.
        again = state.withdrawn.day
        ready = ready if ready is not None and ready.by <= again else None
        loss = loss if loss is not None and loss.by < again else None
    if ready is not None:
        return _ready(ready, loss is not None, cut_day)
    if loss is not None:
        return _lost(loss, cut_day)
    return _still(state, cut_day)


def left_out(state: PieceState, cut_day: str, retracted: bool) -> Reason | None:
    """Why a glued piece may not be counted at all, or None if it may."""
    if retracted:
        return "cut-retracted"
    assert state.begun is not None
    late = days(cut_day, state.begun.day)
    if late < 0:
        return "glued-before-cut"
    if late > REGISTERED_WITHIN:
        return "registered-late"
    ends = [state.alive, state.loss.by if state.loss else None]
    if any(end is not None and days(cut_day, end) > MAX_DAY for end in ends):
        return "wrong-date"
    return None


def days(start: str, end: str) -> int:
    """Whole days from one local date to another; dates have no hours, so no clock change counts."""
    return _ordinal(end) - _ordinal(start)


@lru_cache(maxsize=4096)
def _ordinal(day: str) -> int:
    return date.fromisoformat(day).toordinal()


def _ready(ready: Event, lost_after: bool, cut_day: str) -> Watch:
    left, right = _event(ready.after, ready.by, cut_day)
    return Watch("ready", left, right, right - left, ready.after is None,
                 lost_after_ready=lost_after)  # fmt: skip


def _lost(loss: LossEvent, cut_day: str) -> Watch:
    left, right = _event(loss.after, loss.by, cut_day)
    return Watch("lost", left, right, None, loss.after is None, missing=loss.how == "missing")


def _event(after: str | None, by: str, cut_day: str) -> tuple[int, int]:
    """(left, right]; an event on the day of the cut itself is put in (0, 1]."""
    left = 0 if after is None else max(0, days(cut_day, after))
    return left, max(left + 1, days(cut_day, by))


def _still(state: PieceState, cut_day: str) -> Watch:
    gone = state.withdrawn
    looked, alive = (gone.looked, gone.alive) if gone else (state.looked, state.alive)
    if alive is None:
        return Watch("never-checked")
    left = 0 if looked is None else max(0, days(cut_day, looked))
    right = max(left, days(cut_day, alive))
    gap = None
    if gone is None and looked is not None and state.looked_before is not None:
        gap = days(state.looked_before, looked)
    return Watch("withdrawn" if gone or state.exit else "healing", left, right, gap)
