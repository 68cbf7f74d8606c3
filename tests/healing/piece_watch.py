"""A piece's records on days since its cut, folded and read as an interval.

The zone is five hours ahead of UTC, so that 18:59 and 19:00 UTC are two days; the cut was on
1 March.
"""

from datetime import date, timedelta
from typing import Any

import numpy as np

from api.healing import intervals as i
from api.healing.facts import Facts
from api.records.fields import Endpoint
from api.stock.facts import Glued, Kind, fact_rows, kind_text, ordinal
from api.stock.fold import fold
from api.stock.state import PieceState
from tests.healing.watched import Watch, each_of
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


def facts_of(state: PieceState) -> Facts:
    """The piece's row, written and read again."""
    kind = Kind(None, None, None, None, None, None)
    numbers = {kind_text(kind): 1, state.cut or "": 2}
    [(_, text)] = fact_rows({PIECE: state}, {PIECE: Glued(kind, None)}, numbers)
    return Facts.read(text)


def interval(state: PieceState, cut_day: str, endpoint: Endpoint) -> Watch:
    [found] = each_of(i.intervals(facts_of(state), np.array([ordinal(cut_day)]), endpoint))
    return found


def left_out(state: PieceState, cut_day: str, retracted: bool) -> i.Reason | None:
    [reason] = i.left_out(facts_of(state), np.array([ordinal(cut_day)]), np.array([retracted]))
    return None if reason < 0 else i.REASONS[reason]


def watch(*seen: Seen, endpoint: str = "sale", **more: Any) -> Watch:
    return interval(piece(*seen, **more), CUT_DAY, endpoint)  # type: ignore[arg-type]
