"""`python -m api.demo.compare`: the invented farm's estimates beside what is true there."""

import asyncio
import tempfile
from pathlib import Path

from api.database import open_database
from api.demo.farm import build
from api.demo.truth import METHODS, true_median_ready, true_share_lost
from api.healing.asked import Asked
from api.healing.report import report
from api.records.clock import milliseconds, moment


async def compare() -> list[str]:
    """Lines of a table: method, median estimated (95 %) and true, share lost likewise.

    A median is known to lie after one round and by the end of another, and is shown as both days.
    """
    lines = ["method              median (95 %)          true  lost (95 %)                   true"]
    with tempfile.TemporaryDirectory() as folder:
        db = await open_database(Path(folder) / "demo.sqlite")
        await build(db)
        [newest] = await db.rows("SELECT max(at) AS at FROM log")
        now = milliseconds(moment(newest["at"]))
        groups = {group.key: group for group in (await report(db, Asked(), now)).groups}
        await db.close()
    for method in METHODS:
        group, truth = groups[method.key], true_median_ready(method)
        loss = group.loss
        if group.estimate is None or group.median is None or loss is None:
            lines.append(f"{method.key:20} {group.sentence}")
            continue
        days = f"{group.estimate.after}-{group.estimate.by}"
        limits = f"({group.median.low}-{group.median.high or ''})"
        share = f"{loss.share:.3f} by {loss.horizon} ({loss.low:.3f}-{loss.high:.3f})"
        true_days = "never" if truth is None else f"{truth:.1f}"
        lines.append(
            f"{method.key:19} {days:8} {limits:11} {true_days:>7}  {share:27} "
            f"{true_share_lost(method, loss.horizon):.3f}"
        )
    return lines


if __name__ == "__main__":
    print("\n".join(asyncio.run(compare())))
