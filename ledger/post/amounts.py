"""How much material a line stands for: rates, totals, loads, turned into mass or volume."""

from __future__ import annotations

from ledger.model import Entry, Factor
from ledger.post.desk import Desk, cell_factor

AS_TYPED = {"kg": "mass", "L": "volume"}


def total_amount(
    entry: Entry, source: Entry, area: float, desk: Desk
) -> tuple[float, str, tuple[Factor, ...]]:
    """The material of a whole line: amount in kg or L, which of the two, and its factors.

    ``source`` is the lot or product (its form says what a load holds); ``area`` in ha.
    Raises ``CannotPost`` when a load size cannot be read for want of a form.
    """
    typed = entry.number("amount") or 0.0
    quantity = desk.definitions.units[entry.text("unit")].quantity
    if quantity == "number":
        size, base = _load_size(entry, source, desk)
        loads = cell_factor("loads", entry, "amount", typed, "loads")
        return typed * size, base, (loads, cell_factor("load size", entry, "load_size", size, base))
    base = "kg" if quantity.startswith("mass") else "L"
    per_area = quantity.endswith("per area")
    unit = f"{base}/ha" if per_area else base
    factors: tuple[Factor, ...] = (cell_factor("amount", entry, "amount", typed, unit),)
    if per_area:
        factors += (Factor(name="area", value=area, unit="ha", origin=_area_origin(entry)),)
    return typed * (area if per_area else 1.0), base, factors


def _area_origin(entry: Entry) -> str:
    column = "area_covered" if "area_covered" in entry.values else "field"
    return f"{entry.row.grid.sheet_name}!{entry.row.address(column)}"


def _load_size(entry: Entry, source: Entry, desk: Desk) -> tuple[float, str]:
    form = source.text("form")
    sheet = desk.definitions.sheets[entry.row.grid.sheet_id]
    units = sheet.by_id["load_size"].unit_by_form[desk.book.system]
    if form not in units:
        raise desk.refuse("form-missing", source, "form", name=entry.text("lot"))
    unit = desk.definitions.units[units[form]]
    base = "kg" if unit.quantity == "mass" else "L"
    return (entry.number("load_size") or 0.0) * unit.factor, base


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
