"""What a harvested mass holds by the book: bushels weighed, published contents as fractions."""

from __future__ import annotations

from ledger.model import Crop, Definitions, Figure, RemovalSet


def bushel_mass(crop: Crop, definitions: Definitions) -> float | None:
    """Mass of a bushel [kg], or None for a crop that has none; its figure is in lb/bu."""
    if crop.bushel_weight is None:
        return None
    return crop.bushel_weight.value * definitions.units["lb"].factor


def content_fraction(figure: Figure, crop: Crop, definitions: Definitions) -> float:
    """A removal figure as mass of nutrient per mass of harvest, on the figure's own basis."""
    if figure.unit == "lb/bu":
        weight = bushel_mass(crop, definitions)
        assert weight is not None  # the loader refuses lb/bu for a crop without a bushel
        return figure.value * definitions.units["lb"].factor / weight
    return figure.value * definitions.units[figure.unit].factor


def part_name(crop: str, part: str) -> str:
    """A part of a crop as people say it: grass hay is not said to have a hay."""
    return crop if crop.endswith(f" {part}") else f"{crop} {part}"


def removal_set_of(name: str, definitions: Definitions) -> RemovalSet:
    """A removal set by name, or the default where the name is not one."""
    default = definitions.sheets["farm"].by_id["removal_set"].default
    return definitions.removal_sets.get(name) or definitions.removal_sets[default]
