"""The lists a new facility begins with."""

import math
from collections import Counter

import msgspec

from api.records.bodies import DefineBody
from api.stock.starter import starter_items

# The standard words for causes of loss, written out here a second time.
CAUSES = {
    "acute tissue loss", "slow recession", "sloughing", "bleaching", "mouth did not regrow",
    "algal overgrowth", "fouling", "predator or parasite", "neighbour aggression", "detachment",
    "handling", "temperature", "salinity", "chemistry", "equipment failure", "dip reaction",
    "unknown",
}  # fmt: skip


def test_every_entry_is_a_valid_define_with_a_key_of_its_own() -> None:
    items = starter_items("Europe/Lisbon", "A farm")
    for _, name, fields in items:
        body = msgspec.convert({"list": name, "fields": fields}, DefineBody)
        assert body == DefineBody(list=name, fields=fields)
    assert max(Counter(key for key, _, _ in items).values()) == 1
    assert Counter(name for _, name, _ in items) == {
        "settings": 1, "method": 5, "base": 5, "cause": 17,
    }  # fmt: skip
    assert items[0] == ("settings", "settings", {
        "zone": "Europe/Lisbon", "wild_number": 0, "held_back_keeps": False, "name": "A farm",
    })  # fmt: skip


def test_the_causes_are_the_standard_words() -> None:
    causes = {str(fields["name"]).lower() for _, name, fields in starter_items("UTC")
              if name == "cause"}  # fmt: skip
    assert causes == CAUSES


def test_what_is_cut_without_a_driven_blade_is_told_apart() -> None:
    by_hand = {fields["name"]: fields["by_hand"] for _, name, fields in starter_items("UTC")
               if name == "method"}  # fmt: skip
    assert by_hand == {
        "Band saw": False, "Wet tile saw": False, "Rotary tool": False, "Bone cutter": True,
        "Chisel": True,
    }  # fmt: skip


def test_bases_soak_at_least_ten_minutes_and_say_where_their_label_sits() -> None:
    """10 minutes at least: common practice, no source."""
    bases = {key: fields for key, name, fields in starter_items("UTC") if name == "base"}
    assert {key: fields["label_sits"] for key, fields in bases.items()} == {
        "base.hex-40": "underside", "base.hex-50": "underside", "base.disc-30": "underside",
        "base.plug-20": "stem", "base.block-50": "rim",
    }  # fmt: skip
    assert {(fields["porous"], fields["soak_min"]) for fields in bases.values()} == {(True, 10)}


def test_a_label_fits_in_the_circle_within_its_base() -> None:
    """A square of side w has diagonal w sqrt 2; the circle within a hexagon, disc or block of
    `across` millimetres between its flats has that diameter. On a rim the height is the limit."""
    bases = [fields for _, name, fields in starter_items("UTC") if name == "base"]
    assert {fields["shape"] for fields in bases} == {"hexagon", "disc", "block"}
    for fields in bases:
        width, across = fields["label_width_mm"], fields["across_mm"]
        assert isinstance(width, int)
        assert isinstance(across, int)
        assert width * math.sqrt(2) <= across
        if fields["label_sits"] == "rim":
            assert isinstance(fields["height_mm"], int)
            assert width <= fields["height_mm"]
