"""Units in the ledger's own: what the person sees is what the formulas reckon in."""

from __future__ import annotations

from ledger.model import Definitions, System


def shown_factor(unit: str, definitions: Definitions, system: System) -> float:
    """What a unit is in the ledger's own unit of the same quantity."""
    known, shown = definitions.units[unit], definitions.shown_in[system]
    own = shown.get(known.quantity)
    if own:
        return known.factor / definitions.units[own].factor
    if known.quantity == "number per area":
        return known.factor * definitions.units[shown["area"]].factor
    return known.factor
