"""How much material a line stands for: rates, totals, loads, turned into mass or volume."""

from __future__ import annotations

from typing import NamedTuple

from ledger.model import AREA, Basis, Entry, Factor, Typed
from ledger.post.desk import Desk

AS_TYPED = {"kg": "mass", "L": "volume"}


class Measure(NamedTuple):
    """What amounts in a unit of a material stand for: kg or L, and what their line tells of it.

    ``per_area`` are amounts a hectare, ``load`` is the factor from loads to the base.
    """

    base: str
    told: Basis
    per_area: bool = False
    load: float | None = None

    def total(self, entry: Entry, area: float) -> float:
        """The material of a whole line [base] that covers an area [ha]."""
        typed = entry.number("amount") or 0.0
        if self.load is not None:
            return typed * ((entry.number("load_size") or 0.0) * self.load)
        return typed * (area if self.per_area else 1.0)


def measure_of(entry: Entry, source: Entry, desk: Desk) -> Measure:
    """What the amount of a line stands for; asked once a unit and material.

    ``source`` is the lot or product: its form says what a load holds. Raises ``CannotPost``
    when a load size cannot be read for want of a form.
    """
    key = (entry.text("unit"), id(source))
    if key not in desk.measures:
        desk.measures[key] = _measure(entry, source, desk)
    return desk.measures[key]  # type: ignore[no-any-return]


def _measure(entry: Entry, source: Entry, desk: Desk) -> Measure:
    quantity = desk.definitions.units[entry.text("unit")].quantity
    if quantity == "number":
        return _loads(entry, source, desk)
    base = "kg" if quantity.startswith("mass") else "L"
    if quantity.endswith("per area"):
        return Measure(base, (Typed("amount", f"{base}/ha", "amount"), AREA), per_area=True)
    return Measure(base, (Typed("amount", base, "amount"),))


def _loads(entry: Entry, source: Entry, desk: Desk) -> Measure:
    form = source.text("form")
    sheet = desk.definitions.sheets[entry.row.grid.sheet_id]
    units = sheet.by_id["load_size"].unit_by_form[desk.book.system]
    if form not in units:
        raise desk.refuse("form-missing", source, "form", name=entry.text("lot"))
    unit = desk.definitions.units[units[form]]
    base = "kg" if unit.quantity == "mass" else "L"
    size = Typed("load size", base, "load_size", unit.factor)
    return Measure(base, (Typed("loads", "loads", "amount"), size), load=unit.factor)


def in_base(
    amount: float, base: str, wanted: str, entry: Entry, source: Entry, name: str, desk: Desk
) -> tuple[float, tuple[Factor, ...]]:
    """Turn kg into L or back with the density of the material, where they differ.

    Raises ``CannotPost`` (finding ``density-missing``) when the density is blank.
    """
    if base == wanted:
        return amount, ()
    density = source.number("density")
    if density is None:
        words = {"name": name, "read": AS_TYPED[base], "expected": AS_TYPED[wanted]}
        raise desk.refuse("density-missing", entry, "unit", **words)
    factor = desk.told("density", source, "density", density, "kg/L")
    return (amount * density if wanted == "kg" else amount / density), (factor,)
