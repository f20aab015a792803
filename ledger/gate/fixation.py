"""Nitrogen that harvested legumes fetched from the air: a rough book estimate."""

from __future__ import annotations

from math import fsum

from ledger.contents import content_fraction
from ledger.formulas import to_moisture
from ledger.gate.lines import Gatekeeper
from ledger.model import Cut


def fixed(keeper: Gatekeeper) -> dict[str, float | None]:
    """Nitrogen fixed on own ground [kg]; None when a harvested legume has no figure."""
    masses = [_of(cut, keeper) for cut in keeper.journal.cuts if _own_legume(cut, keeper)]
    known = [mass for mass in masses if mass is not None]
    return {"N": fsum(known) if len(known) == len(masses) else None}


def _own_legume(cut: Cut, keeper: Gatekeeper) -> bool:
    """Main parts alone: a figure is per unit of yield, not of straw."""
    crop = keeper.definitions.crops[cut.entry.text("crop")]
    zones = keeper.book.zones.get(cut.entry.text("field"), ())
    own = any(not zone.custom for zone in zones)
    return own and crop.legume and cut.entry.text("part") == crop.main_part


def _of(cut: Cut, keeper: Gatekeeper) -> float | None:
    crop = keeper.definitions.crops[cut.entry.text("crop")]
    figure = keeper.definitions.gate.fixation.get(crop.id)
    if figure is None:
        return None
    standard = crop.parts[crop.main_part].standard_moisture
    moisture = cut.entry.number("moisture_pct")
    mass = cut.mass
    if moisture is not None and standard is not None:
        mass = to_moisture(mass, moisture_pct=moisture, standard_pct=standard.value)
    return mass * content_fraction(figure, crop, keeper.definitions)
