"""`python -m api.demo.compare`: the invented farm's estimates beside what is true there.

For each method, operator, blade and care regime. What is true of a group is averaged over its own
pieces, as they were made: their methods, species, mouths, bases, blades' wear and tanks. Chance and
what was special about its cuts are not in it, and that is what limits of 95 % must allow for.
"""

import asyncio
import tempfile
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from api.database import Database, open_database
from api.demo.farm import build
from api.demo.life import Life
from api.demo.tanks import regime_words
from api.demo.truth import Made, true_day_ready, true_share_lost
from api.healing.asked import Asked
from api.healing.report import report
from api.healing.shapes import Group
from api.healing.traits import By
from api.records.clock import milliseconds, moment

BYS: tuple[By, ...] = ("method", "operator", "blade", "care")
HEAD = (
    f"{'half ready: true':>16} {'found':>8} {'95 %':>10} {'holds':>5}  "
    f"{'lost: true':>10} {'found':>6} {'by day':>6} {'95 %':>13} {'holds':>5}  "
    f"{'middle half: true':>17} {'found':>8}"
)


class Line(NamedTuple):
    """One group; days and shares as in `Group`, None where the report gives none.

    holds, loss_holds  whether the 95 % limits hold what is true; None where there are none
    """

    by: By
    group: Group
    true_day: float | None
    holds: bool | None
    true_loss: float | None
    loss_holds: bool | None
    true_middle: tuple[float, float] | None


async def beside(db: Database, lives: Sequence[Life], now: int, bys: Sequence[By]) -> list[Line]:
    """Every group of the farm that has these lives, by each trait, at `now` (UTC ms)."""
    lines = []
    for by in bys:
        mixes: dict[str, Counter[Made]] = {}
        for life in lives:
            mixes.setdefault(_key(by, life), Counter())[life.made] += 1
        found = await report(db, Asked(by), now)
        lines += [_line(by, group, mixes[group.key]) for group in found.groups]
    return lines


def _key(by: By, life: Life) -> str:
    """The group's key in the report."""
    match by:
        case "method":
            return life.made.method.key
        case "operator":
            return life.operator
        case "blade":
            return life.blade
        case _:
            return regime_words(life.made.regime)


def _line(by: By, group: Group, mix: Counter[Made]) -> Line:
    day, holds, median, loss = true_day_ready(mix), None, group.median, group.loss
    if median is not None:
        late = median.high is None or (day is not None and day <= median.high)
        holds = late and (day is None or median.low <= day)
    true_loss = None if loss is None else true_share_lost(mix, loss.horizon)
    loss_holds = None if loss is None or true_loss is None else loss.low <= true_loss <= loss.high
    first, third = true_day_ready(mix, 0.25), true_day_ready(mix, 0.75)
    middle = None if first is None or third is None else (first, third)
    return Line(by, group, day, holds, true_loss, loss_holds, middle)


def written(line: Line) -> str:
    """A line of the table."""
    group, median, loss = line.group, line.group.median, line.group.loss
    days = "-" if group.estimate is None else f"{group.estimate.after}-{group.estimate.by}"
    limits = "-" if median is None else f"{median.low}-{median.high or ''}"
    true_day = "never" if line.true_day is None else f"{line.true_day:.1f}"
    share, by_day, around = "-", "-", "-"
    if loss is not None:
        share, by_day = f"{(loss.least + loss.most) / 2:.3f}", str(loss.horizon)
        around = f"{loss.low:.3f}-{loss.high:.3f}"
    true_loss = "-" if line.true_loss is None else f"{line.true_loss:.3f}"
    true_middle = "-" if line.true_middle is None else "{:.0f}-{:.0f}".format(*line.true_middle)
    middle = "-" if group.middle is None else "{}-{}".format(*group.middle)
    return (
        f"{true_day:>16} {days:>8} {limits:>10} "
        f"{_yes(line.holds):>5}  {true_loss:>10} {share:>6} {by_day:>6} {around:>13} "
        f"{_yes(line.loss_holds):>5}  {true_middle:>17} {middle:>8}"
    )


def _yes(holds: bool | None) -> str:
    return "-" if holds is None else "yes" if holds else "NO"


def table(lines: Sequence[Line]) -> list[str]:
    """The whole of it, with how many limits hold."""
    said = [holds for one in lines for holds in (one.holds, one.loss_holds) if holds is not None]
    counted = f"{sum(said)} of {len(said)} limits of 95 % hold what is true."
    names = [f"{line.by:8}  {line.group.name}" for line in lines]
    width = max(map(len, names), default=0)
    each = [f"{name:{width}} {written(line)}" for name, line in zip(names, lines, strict=True)]
    return [f"{'':{width}} {HEAD}", *each, counted]


async def compare() -> list[str]:
    """The table of a farm that ends today."""
    with tempfile.TemporaryDirectory() as folder:
        db = await open_database(Path(folder) / "demo.sqlite")
        facts = await build(db)
        [newest] = await db.rows("SELECT max(at) AS at FROM log")
        lines = await beside(db, facts.lives, milliseconds(moment(newest["at"])), BYS)
        await db.close()
    return table(lines)


if __name__ == "__main__":
    print("\n".join(asyncio.run(compare())))
