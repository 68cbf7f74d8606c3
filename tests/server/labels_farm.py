"""What tests of labels over HTTP do: choosing their address, list entries, prints, records."""

import json
from typing import Any

from tests.server.server_farm import Farm
from tests.sync.phone import NOW, Phone

SHEET, A4_24 = "sheet.mine", "a4-63.5x33.9"
OWN: dict[str, Any] = {
    "name": "Our film", "page": "A4", "label_width_hmm": 6000, "label_height_hmm": 4000,
    "columns": 3, "rows": 6, "pitch_x_hmm": 6200, "pitch_y_hmm": 4200, "left_hmm": 1000,
    "top_hmm": 1500,
}  # fmt: skip
PRINTER: dict[str, Any] = {"name": "Office, upper tray", "dpi": 300}


def item(farm: Farm, key: str, name: str, fields: dict[str, Any], retired: bool = False) -> None:
    """As if the entry had been defined; how it gets there is the sync tests' matter."""
    farm.sql(
        'INSERT INTO item (id, "list", fields, retired) VALUES (?, ?, ?, ?)',
        key, name, json.dumps(fields), retired,
    )  # fmt: skip


def choose_host(farm: Farm) -> None:
    item(farm, "settings", "settings", {"label_host": "labels.example"})


def order(farm: Farm, count: int = 5, **more: Any) -> dict[str, Any]:
    body = {"geometry": A4_24, "count": count} | more
    answer = farm.client.post("/api/labels/prints", json=body)
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def again(farm: Farm, batch: str, **more: Any) -> Any:
    body = {"geometry": A4_24} | more
    return farm.client.post(f"/api/labels/prints/{batch}/sheet", json=body)


def push(farm: Farm, phone: Phone, records: list[dict[str, Any]]) -> list[str]:
    """Send records as the signed-in person and device; the answers' words."""
    me = farm.client.get("/api/me").json()
    for record in records:
        record["staff"], record["device"] = me["staff"]["id"], me["device"]["id"]
    phone.name = me["device"]["id"]
    answer = farm.client.post(
        "/api/sync/push", content=phone.batch(records, NOW),
        headers={"content-type": "application/json"},
    )  # fmt: skip
    return [one["answer"] for one in answer.json()["answers"]]


def stock(phone: Phone) -> tuple[list[dict[str, Any]], str]:
    """A species, a colony without a label, a tray and a tank: the records, and the colony's id."""
    colony = phone.id()
    lists = [
        ("species.lobo", "species", "Lobophyllia hemprichii"), ("tray.a1", "tray", "A1"),
        ("tank.one", "tank", "Tank one"),
    ]  # fmt: skip
    records = [
        phone.make("define", ("item", key), {"list": name, "fields": {"name": words}})
        for key, name, words in lists
    ]
    arrival = {"line": "Amber", "species": "species.lobo", "origin": "wild"}
    return [*records, phone.make("arrival", ("piece", colony), arrival)], colony
