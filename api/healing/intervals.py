"""Healing as intervals of whole days since the cut. Pure, and for all pieces at once.

Days are differences of the facility's local dates and the clock starts at the cut, whenever the
piece was glued. Intervals are half-open, (left, right]: `left` the last look that had not seen
the event, `right` the look that found it. What counts is what was seen, never what day it is now:

    ready, then lost             ready: the loss came after
    ready or lost on day 0       (0, 1]
    lost                         (last seen alive at all, day of the loss], sweeps included
    sold, moved on or cut again  withdrawn with the last looks before that
    never looked at              no row at all
"""

from __future__ import annotations

from typing import Literal, NamedTuple, get_args

import numpy as np

from api.healing.facts import Facts
from api.healing.rows import MAX_DAY, BoolArray, Cause, IntArray
from api.records.fields import Endpoint

Fate = Literal["ready", "lost", "healing", "withdrawn", "never-checked"]
FATES: tuple[Fate, ...] = get_args(Fate)
READY, LOST, HEALING, WITHDRAWN, NEVER = range(len(FATES))
CAUSES: IntArray = np.array([Cause.READY, Cause.LOST, Cause.STILL, Cause.STILL, -1])
"""Each fate's cause; -1 for a piece that was never looked at, which is no row."""

Reason = Literal["cut-retracted", "glued-before-cut", "registered-late", "wrong-date"]
REASONS: tuple[Reason, ...] = get_args(Reason)

REGISTERED_WITHIN = 2
"""Days a gluing may run on after the cut (common practice, no source: what is not glued while the
wound is fresh is not glued). A piece first known later than that had outlived others which nobody
counted, so taking it in would make losses look rare."""


class Watches(NamedTuple):
    """What was seen of pieces' healing, in days since each one's cut; all (pieces,).

    fate              a place in FATES
    left, right       ready or lost: the event lies in (left, right]. Healing or withdrawn: the
                      last day somebody looked at the piece itself and did not call it ready, and
                      the last day it was seen alive at all; right >= left
    gap               days between the two newest looks at the piece itself (when it was ready:
                      up to that look, and from the cut where there was none before); else -1
    first             the event was found at the very first look
    missing           lost in the sense of not being found
    lost_after_ready  lost after it had been ready
    """

    fate: IntArray
    left: IntArray
    right: IntArray
    gap: IntArray
    first: BoolArray
    missing: BoolArray
    lost_after_ready: BoolArray

    def select(self, keep: BoolArray | IntArray) -> Watches:
        """The pieces where `keep` is true, or in the places `keep`."""
        return Watches(*(column[keep] for column in self))  # type: ignore[arg-type]


def intervals(
    facts: Facts, cut_on: IntArray, endpoint: Endpoint, *, missing_lost: bool = True
) -> Watches:
    """The healing of glued pieces towards `endpoint`; `cut_on`, (pieces,), the days of their cuts.
    Pieces that were not found are lost, or else withdrawn at their last looks.

    From the day it was itself cut a piece heals from another wound. Readiness recorded on that day
    was the reason to cut it; a loss on that day was the cut's doing.
    """
    after, by = (
        (facts.sale_after, facts.sale_by) if endpoint == "sale"
        else (facts.again_after, facts.again_by)
    )  # fmt: skip
    gone = facts.gone_on > 0
    ready = (by > 0) & (~gone | (by <= facts.gone_on))
    loss = (facts.loss_by > 0) & (~gone | (facts.loss_by < facts.gone_on))
    lost = loss & ~ready & (missing_lost | (facts.missing == 0))
    event = ready | lost
    after = np.where(ready, after, facts.loss_after)
    by = np.where(ready, by, facts.loss_by)
    looked = np.where(gone, facts.gone_looked, facts.looked)
    alive = np.where(gone, facts.gone_alive, facts.alive)
    left = _since(np.where(event, after, looked), cut_on)
    # An event on the day of the cut itself is put in (0, 1].
    right = np.where(event, np.maximum(left + 1, by - cut_on), np.maximum(left, alive - cut_on))
    never = ~event & (alive == 0)
    out = gone | (facts.left > 0) | (loss & ~event)
    fate = np.select([ready, lost, never, out], [READY, LOST, NEVER, WITHDRAWN], HEALING)
    twice = ~event & ~never & ~gone & (looked > 0) & (facts.looked_before > 0)
    gap = np.where(ready, right - left, np.where(twice, looked - facts.looked_before, -1))
    return Watches(
        fate, np.where(never, 0, left), np.where(never, 0, right), gap, event & (after == 0),
        lost & (facts.missing > 0), ready & loss,
    )  # fmt: skip


def left_out(facts: Facts, cut_on: IntArray, retracted: BoolArray) -> IntArray:
    """Why a piece may not be counted at all, as a place in REASONS; -1 where it may."""
    late = facts.begun_on - cut_on
    last = np.maximum(facts.alive, facts.loss_by) - cut_on
    return np.select(
        [retracted, late < 0, late > REGISTERED_WITHIN, last > MAX_DAY], range(len(REASONS)), -1
    )


def _since(day: IntArray, cut_on: IntArray) -> IntArray:
    """Days since the cut; 0 for none and for what is dated before it."""
    return np.where(day > 0, np.maximum(0, day - cut_on), 0)
