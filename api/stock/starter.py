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
# Those cut by hand have no driven blade: the saw's cautions are left out.
METHODS = (
    ("band-saw", "Band saw", False), ("tile-saw", "Wet tile saw", False),
    ("rotary-tool", "Rotary tool", False), ("bone-cutter", "Bone cutter", True),
    ("chisel", "Chisel", True),
)  # fmt: skip
# Millimetres across, high, and of the label, and where it sits (common practice, no source). A
# label is a square that has to fit in the circle within the base, so it is at most 0.707 of the way
# across, and on a rim it is no higher than the base.
BASES: tuple[tuple[str, str, str, int, int, int, str], ...] = (
    ("hex-40", "Hexagonal tile 40 mm", "hexagon", 40, 10, 20, "underside"),
    ("hex-50", "Hexagonal tile 50 mm", "hexagon", 50, 10, 20, "underside"),
    ("disc-30", "Round disc 30 mm", "disc", 30, 8, 15, "underside"),
    ("plug-20", "Plug 20 mm", "disc", 20, 25, 10, "stem"),
    ("block-50", "Cement block 50 mm", "block", 50, 30, 20, "rim"),
)
SOAK_MIN = 10
"""Minutes that a porous base soaks before gluing, at least (common practice, no source)."""


def starter_items(zone: str, name: str | None = None) -> list[StarterItem]:
    """The entries of a new facility in `zone` (an IANA name)."""
    settings: dict[str, FieldValue] = {"zone": zone, "wild_number": 0, "held_back_keeps": False}
    if name is not None:
        settings["name"] = name
    items: list[StarterItem] = [("settings", "settings", settings)]
    items += [
        (f"method.{key}", "method", {"name": method, "by_hand": by_hand})
        for key, method, by_hand in METHODS
    ]
    items += [
        (f"base.{key}", "base", {"name": label, "shape": shape, "across_mm": across,
                                 "height_mm": height, "porous": True, "soak_min": SOAK_MIN,
                                 "label_sits": sits, "label_width_mm": width})
        for key, label, shape, across, height, width, sits in BASES
    ]  # fmt: skip
    items += [(f"cause.{slug(cause)}", "cause", {"name": cause}) for cause in CAUSES]
    return items


def slug(name: str) -> str:
    """A name as a key: 'Band saw' is 'band-saw'."""
    return "-".join("".join(c if c.isalnum() else " " for c in name.lower()).split())
