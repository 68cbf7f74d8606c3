"""The invented farm's name, people, phones, species, tanks and trays."""

from api.access.person import Role
from api.demo.truth import Regime
from api.records.fields import FieldValue
from api.stock.starter import StarterItem, starter_items

NAME, ZONE, LABEL_HOST = "Quiet Reef Nursery", "Europe/Lisbon", "labels.example"
PEOPLE: tuple[tuple[str, str, Role], ...] = (
    ("staff.ines", "Ines Valadar", "owner"),
    ("staff.tomas", "Tomas Orrell", "lead"),
    ("staff.wanda", "Wanda Skerry", "keeper"),
)
LEAD, KEEPER = "staff.tomas", "staff.wanda"
BENCH, ROUND = "device.bench", "device.round"
DEVICES = ((BENCH, "Bench phone"), (ROUND, "Round phone"))

# (name, growth form, days between checks, toxic)
SPECIES: tuple[tuple[str, str, int, bool], ...] = (
    ("Lobophyllia hemprichii", "massive", 8, False),
    ("Trachyphyllia geoffroyi", "single", 8, False),
    ("Micromussa lordhowensis", "massive", 8, False),
    ("Favites pentagona", "massive", 8, False),
    ("Euphyllia glabrescens", "branching", 8, False),
)
TANKS: tuple[tuple[str, str, int, Regime], ...] = (
    ("tank.north", "North raceway", 1800, "plain"), ("tank.south", "South raceway", 1500, "amino"),
    ("tank.east", "East raceway", 1500, "plain"), ("tank.west", "West raceway", 1500, "amino"),
    ("tank.upper", "Upper table", 900, "plain"), ("tank.lower", "Lower table", 900, "amino"),
    ("tank.inner", "Inner table", 900, "plain"), ("tank.outer", "Outer table", 900, "amino"),
    ("tank.window", "Window table", 600, "plain"), ("tank.door", "Door table", 600, "amino"),
)  # fmt: skip
"""(key, name, litres, what it is given): five of each regime. A tank counts once, and of four
against four no difference can be told from chance where days and losses are both looked at."""
TRAYS = ("A1", "A2", "B1", "B2", "C1", "C2", "D1", "D2", "E1", "E2")
"""One in each tank, in their order."""
EMPTY_TRAY = "F1"
COLUMNS, ROWS = 16, 12
TRAY_MM = {"width_mm": 700, "depth_mm": 500, "gap_mm": 2}
REST_DAYS = 180
"""From one cut to the next: six to twelve months are common practice (no source)."""


RULES: dict[str, FieldValue] = {
    "sale_mouth": "open", "sale_encrustation": 3, "sale_recession": "none", "sale_checks": 2,
    "cut_mouth": "open", "cut_encrustation": 4, "cut_recession": "none", "cut_checks": 2,
}  # fmt: skip
"""What proposes readiness on this farm; invented."""


def species_key(name: str) -> str:
    """The key of a species' list entry."""
    return f"species.{name.lower().replace(' ', '-')}"


def tray_key(name: str) -> str:
    """The key of a tray's list entry."""
    return f"tray.{name.lower()}"


def lists() -> list[StarterItem]:
    """Every list entry of the farm."""
    items = starter_items(ZONE, NAME)
    host: dict[str, FieldValue] = {"label_host": LABEL_HOST}
    items.append(("settings", "settings", host))
    for name, form, check_days, toxic in SPECIES:
        fields: dict[str, FieldValue] = {
            "name": name, "form": form, "check_days": check_days, "rest_days": REST_DAYS,
            "toxic": toxic, **RULES,
        }  # fmt: skip
        items.append((species_key(name), "species", fields))
    items += [(key, "tank", {"name": name, "litres": litres}) for key, name, litres, _ in TANKS]
    items += [
        (tray_key(name), "tray", {"name": name, "columns": COLUMNS, "rows": ROWS, **TRAY_MM})
        for name in (*TRAYS, EMPTY_TRAY)
    ]
    return items
