"""What the farm of the tests lacks for the walk through every screen: pieces in every condition."""

import asyncio
from typing import Any

from playwright.sync_api import Page

from api.access.links import add_staff
from api.records.clock import now_ms
from tests.browser.farm import Farm, ago
from tests.sync.phone import Phone, fates

NAMES = ("branch", "frag", "lost", "flagged", "jelly", "cut")


def stock_up(farm: Farm) -> dict[str, str]:
    """Branching and poisonous, checked, lost, flagged, with brown jelly; the ids by name."""
    lab, now = Phone("lab", 7), now_ms()
    known = {name: lab.id() for name in NAMES}
    records = [
        *_lists(lab, now), *_pieces(lab, known, now), *_checks(lab, known, farm.piece, now),
        *_grown(lab, now), *_drawn(lab, farm.mother, now),
    ]  # fmt: skip
    pushed = asyncio.run_coroutine_threadsafe(_fill(farm, lab, records, now), farm.loop)
    assert set(pushed.result(20)) == {"stored"}
    return known


async def _fill(farm: Farm, lab: Phone, records: list[Any], now: int) -> list[str]:
    await add_staff(farm.db, "Ilse Brandt", "keeper")
    return fates(await lab.push(farm.db, records, now))


def _lists(lab: Phone, now: int) -> list[Any]:
    items = [
        ("species.toxic", "species", {"name": "Euphyllia ancora", "form": "branching",
                                      "toxic": True, "rest_days": 90}),
        ("blade.one", "blade", {"name": "Ring 0.6 mm"}),
        ("tank.grow", "tank", {"name": "Grow-out 2", "litres": 800}),
        ("tray.a2", "tray", {"name": "A2", "columns": 6, "rows": 8}),
    ]  # fmt: skip
    return [
        lab.make("define", ("item", key), {"list": name, "fields": fields}, ago(now, 61))
        for key, name, fields in items
    ]


def _pieces(lab: Phone, known: dict[str, str], now: int) -> list[Any]:
    arrival = {
        "line": "Hammer", "species": "species.toxic", "origin": "farmed", "quarantine_days": 90,
        "came_from": "Another farm", "document": "F 12/26", "source_code": "C",
    }  # fmt: skip
    cut = {"sitting": lab.id(), "mother": known["branch"], "method": "method.band-saw",
           "blade": "blade.one"}  # fmt: skip
    glue = {"cut": known["cut"], "base": "base.hex-40", "purpose": "hold", "tray": "tray.a1"}
    return [
        lab.make("arrival", ("piece", known["branch"]), arrival, ago(now, 60)),
        lab.make("cut", ("cut", known["cut"]), cut, ago(now, 30)),
        *(
            lab.make("glue", ("piece", known[name]), {**glue, "place": f"C{row}"}, ago(now, 30))
            for row, name in enumerate(("frag", "lost", "flagged", "jelly"), 1)
        ),
    ]


def _checks(lab: Phone, known: dict[str, str], piece: str, now: int) -> list[Any]:
    return [
        lab.check(piece, ago(now, 20), found="scan", mouth="bud", encrustation=1, recession="rim"),
        lab.check(piece, ago(now, 9), mouth="open", encrustation=2, recession="none",
                  signs=["algae", "loose"], expansion="half"),
        lab.check(known["jelly"], ago(now, 1), signs=["brown-jelly"], encrustation=1),
        lab.make("loss", ("piece", known["lost"]), {"how": "dead", "sign": "bare"}, ago(now, 5)),
        lab.make("loss", ("piece", known["flagged"]), {"how": "missing"}, ago(now, 8)),
        lab.check(known["flagged"], ago(now, 2), mouth="open"),
    ]  # fmt: skip


def _grown(lab: Phone, now: int) -> list[Any]:
    """Twelve pieces of one cut, some ready and some lost: enough for a curve."""
    mother, cut, ids = lab.id(), lab.id(), [lab.id() for _ in range(12)]
    glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale", "tray": "tray.a2"}
    arrival = {"line": "Slate", "species": "species.lobo", "origin": "wild"}
    method = {"sitting": lab.id(), "mother": mother, "method": "method.band-saw"}
    made = [
        lab.make("arrival", ("piece", mother), arrival, ago(now, 200)),
        lab.make("cut", ("cut", cut), method, ago(now, 150)),
        *(lab.make("glue", ("piece", one), glue, ago(now, 150)) for one in ids),
    ]
    for row, one in enumerate(ids):
        day = ago(now, 70 - 4 * row)
        made.append(lab.check(one, ago(day, 9), encrustation=3))
        if row == 5:
            made.append(lab.make("loss", ("piece", one), {"how": "dead"}, day))
        elif row < 9:
            made.append(lab.make("ready", ("piece", one), {"for": "sale"}, day))
    return made


def _drawn(lab: Phone, mother: str, now: int) -> list[Any]:
    """A trial of mouths with pieces drawn for it, one done otherwise, and one of methods."""
    trial = {"endpoint": "sale", "difference": 14, "cuts": 24, "begins": "2026-01-01"}
    items = [
        ("method.tile", "method", {"name": "Tile saw"}),
        ("trial.tiles", "trial", {**trial, "name": "Tiles", "varies": "mouths", "seed": "one",
                                  "arms": ["none", "part"]}),
        ("trial.saws", "trial", {**trial, "name": "Saws", "varies": "method", "seed": "two",
                                 "arms": ["method.band-saw", "method.tile"]}),
    ]  # fmt: skip
    cut = lab.id()
    body = {"sitting": lab.id(), "mother": mother, "method": "method.band-saw",
            "trial": "trial.tiles"}  # fmt: skip
    glue = {"cut": cut, "base": "base.hex-40", "purpose": "sale"}
    return [
        *(
            lab.make("define", ("item", key), {"list": name, "fields": fields}, ago(now, 61))
            for key, name, fields in items
        ),
        lab.make("cut", ("cut", cut), body, ago(now, 41)),
        *(
            lab.make("glue", ("piece", lab.id()), {**glue, "arm": arm, "mouths_kept": kept},
                     ago(now, 41))
            for arm, kept in (("none", "none"), ("part", "part"), ("none", "part"))
        ),
    ]  # fmt: skip


def hold_something(page: Page, farm: Farm) -> None:
    """Let the signed-in phone send what it is not entitled to, so that a lead has to decide."""
    other = Phone("lab", 8)
    record = other.check(farm.piece, ago(now_ms(), 1), mouth="open")
    answer = page.evaluate(
        """async (record) => {
          const me = await (await fetch('/api/me')).json()
          record.device = me.device.id
          record.device_seq = 900
          record.staff = 'somebody.else'
          const body = JSON.stringify({ device: me.device.id, records: [record],
            sent: { at: new Date().toISOString() } })
          const headers = { 'content-type': 'application/json' }
          return (await fetch('/api/sync/push', { method: 'POST', headers, body })).json()
        }""",
        record,
    )
    assert [one["answer"] for one in answer.get("answers", [])] == ["later"], answer
