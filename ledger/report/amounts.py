"""How much a line put on, and how that is shown: amounts, rates and analyses in usual units."""

from __future__ import annotations

from ledger.model import Book, Definitions, Entry, System

# What material is counted in, by system, kind of posting and base.
COUNTED_IN: dict[System, dict[tuple[str, str], str]] = {
    "us": {
        ("manure", "L"): "gal",
        ("manure", "kg"): "ton",
        ("product", "L"): "gal",
        ("product", "kg"): "lb",
    },
    "metric": {
        ("manure", "L"): "m3",
        ("manure", "kg"): "t",
        ("product", "L"): "L",
        ("product", "kg"): "kg",
    },
}


def amount_of(
    entry: Entry, form: str, area: float, book: Book, definitions: Definitions
) -> tuple[float | None, str]:
    """The material of a whole line in its base, and the base (``kg`` or ``L``).

    ``area`` in ha, ``form`` of the lot (says what a load is counted in). The amount is None
    when the line does not say enough: no amount, or loads of an unknown size.
    """
    typed, unit = entry.number("amount"), entry.text("unit")
    if typed is None or not unit:
        return None, ""
    quantity = definitions.units[unit].quantity
    if quantity == "number":
        return _loads(entry, typed, form, book, definitions)
    base = "kg" if quantity.startswith("mass") else "L"
    return typed * (area if quantity.endswith("per area") else 1.0), base


def _loads(
    entry: Entry, loads: float, form: str, book: Book, definitions: Definitions
) -> tuple[float | None, str]:
    column = definitions.sheets[entry.row.grid.sheet_id].by_id["load_size"]
    name = column.unit_by_form[book.system].get(form)
    size = entry.number("load_size")
    if name is None or size is None:
        return None, ""
    unit = definitions.units[name]
    return loads * size * unit.factor, "kg" if unit.quantity == "mass" else "L"


def unit_of(kind: str, base: str, system: System) -> str:
    """The unit that a total of manure or of a product is shown in."""
    return COUNTED_IN[system].get((kind, base), "")


def analysis(kind: str, material: Entry, book: Book, definitions: Definitions) -> str:
    """The analysis of a lot or the grade of a product in one line of words."""
    if kind == "manure":
        return _lab_analysis(material, book, definitions)
    parts = [
        f"{nutrient.id} {_plain(material.number(nutrient.columns['product']))}"
        for nutrient in definitions.nutrients.values()
        if "product" in nutrient.columns
    ]
    return ", ".join(parts) + " %"


def _lab_analysis(lot: Entry, book: Book, definitions: Definitions) -> str:
    column = definitions.sheets["manure_lots"].by_id["n_total"]
    unit = column.unit_of_choice.get(lot.text("per"), "")
    factor = definitions.units[unit].factor if unit else 1.0
    named = [("N", "n_total"), ("NH4-N", "n_ammonium")]
    named += [
        (n.id, n.columns["lot"]) for n in definitions.nutrients.values() if "lot" in n.columns
    ]
    parts = [f"{name} {_known(lot, column_id, factor)}" for name, column_id in named]
    sampled = lot.day("sampled")
    day = f"sampled {sampled.isoformat()}" if sampled else "sampling day unknown"
    means = "; means of all slips, least and most in brackets" if lot.slips else ""
    return f"{', '.join(parts)} {unit}; {day}{means}"


def _known(lot: Entry, column: str, factor: float) -> str:
    """A figure of an analysis, with its ends where several slips tell it."""
    slips = (lot.slips or {}).get(column)
    told = _plain(lot.number(column), factor)
    if slips is None or slips.low is None:
        return told
    return f"{told} ({_plain(slips.low, factor)} to {_plain(slips.high, factor)})"


def _plain(value: float | None, factor: float = 1.0) -> str:
    return "unknown" if value is None else f"{value / factor:.4g}"
