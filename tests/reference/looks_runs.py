"""Chances with and without what the last look saw, on cuts learnt from and on cuts left out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from unittest.mock import patch

import numpy as np
import numpy.typing as npt

from api.healing.predict import landmark_fit
from api.healing.predict.chance import predict
from api.healing.predict.forecast import forecast
from api.healing.predict.landmark import Seen
from api.healing.predict.landmark_fit import Looks, learn
from api.healing.predict.model import Model
from api.healing.predict.pooled import fit
from tests.reference.seen_farms import Past, past_of

Array = npt.NDArray[np.float64]
AHEAD, WEEKS = (7, 14, 28), 6
WAYS = ("days alone", "blind", "with looks")
WHERE = ("learnt from", "left out")
HELD_OUT = 3
"""Every third cut is left out of all learning."""


@dataclass
class Said:
    """Of one way and place: chances said and what came true, whether the 80 % range held, and
    whether the 95 % limits of the number ready by the end of each week did, by farm."""

    said: list[Array] = field(default_factory=list)
    true: list[Array] = field(default_factory=list)
    held: list[Array] = field(default_factory=list)
    weeks: list[Array] = field(default_factory=list)

    def brier(self) -> float:
        """The mean square of chance less outcome."""
        gap = np.concatenate(self.said) - np.concatenate(self.true)
        return float((gap**2).mean())

    def off(self, parts: int = 10) -> tuple[float, float]:
        """(mean said less true, the largest such gap of a tenth)."""
        said, true = np.concatenate(self.said), np.concatenate(self.true)
        order = np.array_split(np.argsort(said, kind="stable"), parts)
        gaps = [float(said[one].mean() - true[one].mean()) for one in order]
        return float(np.mean(gaps)), max(gaps, key=abs)


Found = dict[tuple[str, str], Said]


def tally_looks(tells: str, farms: int, seed: int, cuts: int = 45) -> tuple[Found, int]:
    """(what was said, in how many farms looks were used)."""
    found = {(way, where): Said() for way in WAYS for where in WHERE}
    used = 0
    for farm in range(farms):
        past = past_of(np.random.default_rng([seed, farm]), tells, cuts)
        for way, model, seen in _ways(past):
            used += way == "with looks" and model.landmark is not None
            for where, said in ((where, found[way, where]) for where in WHERE):
                _say(past, model, where, said, seen=seen)
    return found, used


def _ways(past: Past) -> Iterator[tuple[str, Model, bool]]:
    """(way, model, whether it is told what was seen)."""
    kept = past.rows.cluster % HELD_OUT != 0
    rows, method, x = past.rows.select(kept), past.method[kept], past.x[kept]
    model = fit(rows, method, x)
    yield "days alone", model, False
    inside = np.flatnonzero(kept[past.looks.row])
    looks = past.looks.part(inside)
    looks = Looks((np.cumsum(kept) - 1)[looks.row], looks.day, looks.seen)
    blind = Looks(looks.row, looks.day, Seen.nothing(looks.row.size))
    with patch.object(landmark_fit, "gain_of", lambda _: 0.0):
        yield "blind", replace(model, landmark=learn(model, rows, method, x, blind)), False
    yield "with looks", replace(model, landmark=learn(model, rows, method, x, looks)), True


def _say(past: Past, model: Model, where: str, found: Said, *, seen: bool) -> None:
    out = past.rows.cluster[past.still] % HELD_OUT == 0
    here = np.flatnonzero(out == (where == "left out"))
    standing = past.standing(seen=seen).part(here)
    time, ready = past.time[past.still][here], ~past.lost[past.still][here]
    chances = predict(model, standing, AHEAD)
    ends = standing.today[:, None] + np.array(AHEAD)
    found.said.append(chances.ready_by.ravel())
    found.true.append((ready[:, None] & (time[:, None] <= ends)).astype(float).ravel())
    day = np.ceil(time)
    found.held.append(((chances.low <= day) & (day <= chances.high))[ready].astype(float))
    by = forecast(model, standing, WEEKS).by
    ends = standing.today[:, None] + 7 * np.arange(1, WEEKS + 1)
    count = (ready[:, None] & (time[:, None] <= ends)).sum(axis=0)
    found.weeks.append(((by.low_95 <= count) & (count <= by.high_95)).astype(float))


HEAD = """\
What the last look saw of mouth and encrustation: {farms} farms each of 45 cuts of 8 pieces, every
third cut left out of all learning. Looks tell much, little or nothing of what comes
(tests/reference/seen_farms.py); 'blind' learns from the same looks without seeing either. Brier is
the mean square of the chance to be ready 7, 14 and 28 days on less what came true; off, said less
true on average; worst, the same in the tenth of chances where it is most; day, how often the 80 %
range held the day; weeks 1 to 6, how often the 95 % limits of the number ready held it.
Looks were used in {used} farms.
tells    cuts         way         Brier   off    worst    day   weeks"""


def table(farms: int, seed: int) -> Iterator[str]:
    """The table's lines; the head comes first."""
    lines, used = [], []
    for tells in ("much", "little", "nothing"):
        found, times = tally_looks(tells, farms, seed)
        used.append(f"{times} ({tells})")
        for (way, where), one in sorted(found.items(), key=lambda item: WHERE.index(item[0][1])):
            mean, worst = one.off()
            weeks = " ".join(f"{100 * held:5.1f}" for held in np.mean(one.weeks, axis=0))
            lines.append(
                f"{tells:8} {where:12} {way:11} {one.brier():.4f} {mean:+.3f}  {worst:+.3f}  "
                f"{100 * np.concatenate(one.held).mean():5.1f}  {weeks}"
            )
    yield HEAD.format(farms=farms, used=", ".join(used))
    yield from lines
