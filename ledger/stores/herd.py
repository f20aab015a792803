"""What the herd should have made, by published figures, beside what was counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import fsum

from ledger.formulas import manure_made
from ledger.layout import fold
from ledger.model import Book, Definitions, Entry, Figure, HerdEstimate, HerdKind
from ledger.stores.desk import StoreDesk


def estimates(book: Book, definitions: Definitions) -> list[HerdEstimate]:
    """One estimate a sound line of the herd [kg], bedding, water and rain left out."""
    return [
        _estimate(entry, definitions.herd.kinds[entry.text("kind")], definitions)
        for entry in book.entries.get("herd", ())
        if not entry.faulty
    ]


def _estimate(entry: Entry, kind: HerdKind, definitions: Definitions) -> HerdEstimate:
    head, weight = entry.number("head") or 0.0, entry.number("weight")
    unit = definitions.herd.animal_unit
    whole = unit.value * definitions.units[unit.unit].factor
    animal_units = head * weight / whole if weight else head / kind.per_unit.value
    a_year = kind.mass.value * definitions.units["ton"].factor
    mass = manure_made(a_year, animal_units, entry.number("days") or 0.0)
    return HerdEstimate(
        entry=entry,
        mass=mass,
        excreted=_masses(mass, kind.excreted, definitions),
        kept=_masses(mass, kind.kept, definitions),
    )


def _masses(
    mass: float, figures: Mapping[str, Figure], definitions: Definitions
) -> dict[str, float | None]:
    """Nutrients as labels state them; None for an element the table lacks."""
    found: dict[str, float | None] = {}
    for nutrient in definitions.nutrients.values():
        figure = figures.get(nutrient.elemental_symbol)
        found[nutrient.id] = (
            mass * figure.value * definitions.units[figure.unit].factor * nutrient.elemental_factor
            if figure
            else None
        )
    return found


def in_store_base(store: Entry, herd: Sequence[HerdEstimate], desk: StoreDesk) -> float | None:
    """The herd's estimate for one store in its base; None without a herd line for it."""
    own = [e.mass for e in herd if fold(e.entry.text("store")) == fold(store.text("store"))]
    if not own:
        return None
    slurry = desk.definitions.herd.slurry_density
    density = slurry.value * desk.definitions.units[slurry.unit].factor
    return fsum(own) if desk.base(store) == "kg" else fsum(own) / density
