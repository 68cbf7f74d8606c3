"""What also happens on farms, all on the last day: slips, worn labels, a move."""

from datetime import date

from api.demo.diary import local
from api.demo.people import EMPTY_TRAY, KEEPER, LEAD, ROUND, tray_key
from api.demo.rounds import Rounds
from api.demo.sittings import Bench

STEP_MS = 60_000


def slips(bench: Bench, rounds: Rounds, day: date) -> None:
    """Write the last day's odd records; pieces drawn without overlap among those still there."""
    here = [life for life in bench.lives if life.gone_on is None and life.records]
    at = local(day, 16)
    chosen = rounds.random.sample(here, 12)
    for life in chosen[:3]:
        slip = rounds.write(day, at, "check", life.id, {"recession": "more"})
        why = {"why": "tapped the wrong piece"}
        rounds.diary.write(day, at + 9000, ROUND, KEEPER, "retract", ("record", slip), why)
        at += STEP_MS
    # A swept check proves a piece alive, and claims no look at its healing that was not made.
    rounds.write(day, at, "loss", chosen[3].id, {"how": "dead", "sign": "gone"})
    rounds.write(day, at + STEP_MS, "check", chosen[3].id, {"swept": True})
    at += 2 * STEP_MS
    for life, holder in ((chosen[4], chosen[5]), (chosen[6], chosen[7])):
        rounds.write(day, at, "bind", life.id, {"code": holder.code})
        at += STEP_MS
    for life in chosen[8:10]:
        rounds.write(day, at, "bind", life.id, {"code": bench.code()})
        at += STEP_MS
    _changes(rounds, day, at, (chosen[10].id, chosen[11].id), chosen[10].tray)


def _changes(rounds: Rounds, day: date, at: int, pieces: tuple[str, str], tray: str) -> None:
    first, second = pieces
    rounds.write(day, at, "note", first, {"text": "Brighter green on the rim."})
    rounds.write(day, at + 2 * STEP_MS, "purpose", second, {"purpose": "hold"})
    rounds.write(
        day, at + 3 * STEP_MS, "move", second, {"tray": tray_key(EMPTY_TRAY), "place": "A1"}
    )
    tank = {"tank": "tank.south"}
    rounds.diary.write(day, at + 4 * STEP_MS, ROUND, LEAD, "move", ("tray", tray), tank)
