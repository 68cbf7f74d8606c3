"""The lists a new facility begins with: ways of cutting, bases, causes of loss, a few trays.

Plain words of the trade, to be renamed, added to or retired. Written as `define` records like any
other change, so that they sync and can be traced.
"""

from api.records.fields import FieldValue, ListName

StarterItem = tuple[str, ListName, dict[str, FieldValue]]
"""Key, list, fields."""

CAUSES = (
    "Acute tissue loss", "Slow recession", "Sloughing", "Bleaching", "Mouth did not regrow",
    "Algal overgrowth", "Fouling", "Predator or parasite", "Neighbour aggression", "Detachment",
    "Handling", "Temperature", "Salinity", "Chemistry", "Equipment failure", "Dip reaction",
    "Unknown",
)  # fmt: skip
METHODS = (
    ("band-saw", "Band saw"), ("tile-saw", "Wet tile saw"), ("rotary-tool", "Rotary tool"),
    ("bone-cutter", "Bone cutter"), ("chisel", "Chisel"),
)  # fmt: skip
# Millimetres across, high, and of the label (common practice, no source). A label is a square that
# has to fit in the circle within the base, so it is at most 0.707 of the way across.
BASES: tuple[tuple[str, str, str, int, int, int], ...] = (
    ("hex-40", "Hexagonal tile 40 mm", "hexagon", 40, 10, 20),
    ("hex-50", "Hexagonal tile 50 mm", "hexagon", 50, 10, 20),
    ("disc-30", "Round disc 30 mm", "disc", 30, 8, 15),
    ("plug-20", "Plug 20 mm", "disc", 20, 25, 10),
    ("block-50", "Cement block 50 mm", "block", 50, 30, 20),
)


def starter_items(zone: str, name: str | None = None) -> list[StarterItem]:
    """The entries of a new facility in `zone` (an IANA name)."""
    settings: dict[str, FieldValue] = {"zone": zone, "wild_number": 0, "held_back_keeps": False}
    if name is not None:
        settings["name"] = name
    items: list[StarterItem] = [("settings", "settings", settings)]
    items += [(f"method.{key}", "method", {"name": method}) for key, method in METHODS]
    items += [
        (f"base.{key}", "base", {"name": label, "shape": shape, "across_mm": across,
                                 "height_mm": height, "label_width_mm": width})
        for key, label, shape, across, height, width in BASES
    ]  # fmt: skip
    items += [(f"cause.{slug(cause)}", "cause", {"name": cause}) for cause in CAUSES]
    return items


def slug(name: str) -> str:
    """A name as a key: 'Band saw' is 'band-saw'."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split())
