"""Harvest: yield at standard moisture times content, by the book or by an analysis."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.contents import bushel_mass, content_fraction, part_name
from ledger.formulas import removal, to_moisture
from ledger.ground import Share, covered_area
from ledger.model import (
    AREA,
    Basis,
    Crop,
    Cut,
    Entry,
    Factor,
    Figure,
    Nutrient,
    RemovalFigure,
    Typed,
)
from ledger.post.desk import Desk, account, each_nutrient, field_account


def post_harvest(entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk) -> None:
    """Post what one harvest line carried off its zones."""
    crop = desk.definitions.crops[entry.text("crop")]
    area = covered_area(parts)
    mass, told = _mass(entry, crop, area, desk)
    desk.cuts.append(Cut(entry=entry, mass=mass))
    to = account(rule["to"], entry.text("crop"), entry.text("part"))
    for nutrient, column, about in each_nutrient(desk, "harvest"):
        found = _by_analysis(entry, column, mass, about, desk) or _by_book(
            entry, crop, nutrient, mass, desk
        )
        if found is None:
            desk.gap(parts, nutrient, entry, rule["stream"])
            continue
        total, reasons = found
        for share in parts:
            flows = {field_account(share.zone, "available"): -total, to: total}
            desk.move(entry, share, nutrient, flows, (*told, *reasons), rule["stream"], area)


Found = tuple[float, Basis]
MOISTURE = Typed("moisture", "percent", "moisture_pct")


def _mass(entry: Entry, crop: Crop, area: float, desk: Desk) -> Found:
    """The harvested mass of the whole line as weighed [kg]."""
    typed = entry.number("yield") or 0.0
    unit = entry.text("unit")
    quantity = desk.definitions.units[unit].quantity
    per_area = quantity.endswith("per area")
    base = {"mass": "kg", "number": unit.split("/")[0]}[quantity.split(" ")[0]]
    told: Basis = (Typed("yield", f"{base}/ha" if per_area else base, "yield"),)
    if per_area:
        told = (*told, AREA)
    amount = typed * (area if per_area else 1.0)
    if base == "kg":
        return amount, told
    weight, reason = _unit_weight(base, entry, crop, desk)
    return amount * weight, (*told, reason)


def _unit_weight(base: str, entry: Entry, crop: Crop, desk: Desk) -> tuple[float, Factor | Typed]:
    if base == "bales":
        weight = entry.number("bale_weight") or 0.0
        return weight, Typed("bale weight", "kg", "bale_weight")
    if crop.bushel_weight is None or entry.text("part") != crop.main_part:
        case = part_name(crop.id, entry.text("part"))
        raise desk.refuse("yield-unit-needs-bushel", entry, "unit", read=case)
    weight = bushel_mass(crop, desk.definitions) or 0.0
    return weight, desk.published("bushel weight", crop.bushel_weight)


def _by_analysis(
    entry: Entry, column: str, mass: float, nutrient: Nutrient, desk: Desk
) -> Found | None:
    percent = entry.number(column)
    moisture = entry.number("moisture_pct")
    if percent is None or moisture is None:
        return None
    dry = to_moisture(mass, moisture_pct=moisture, standard_pct=0)
    symbol = nutrient.elemental_symbol
    told: Basis = (
        MOISTURE,
        Typed(f"{symbol} in dry matter", "percent", column),
        *desk.as_stated(nutrient),
    )
    return removal(dry, percent / 100) * nutrient.elemental_factor, told


def _by_book(entry: Entry, crop: Crop, nutrient: str, mass: float, desk: Desk) -> Found | None:
    part = entry.text("part")
    book = desk.removal_set.figures.get((crop.removal_as, part, nutrient))
    case = part_name(crop.id, part)
    if book is None:
        words = {"set": desk.removal_set.id, "nutrient": nutrient, "read": case}
        desk.note("removal-missing", entry, "part", **words)
        return None
    if book.figure.status == "memory":
        words = {"read": case, "expected": book.figure.source.title}
        desk.note("from-memory", entry, "part", **words)
    at_basis, reasons = _at_basis(entry, crop, book, mass, desk)
    fraction = content_fraction(book.figure, crop, desk.definitions)
    removed = desk.published(f"{nutrient} removed", book.figure)
    return removal(at_basis, fraction), (*reasons, removed)


def _at_basis(entry: Entry, crop: Crop, book: RemovalFigure, mass: float, desk: Desk) -> Found:
    """The mass at the moisture that the book figure is stated on.

    A blank moisture is taken as the crop's standard one; where the figure is stated on that
    too, nothing needs to be known.
    """
    standard = crop.parts[entry.text("part")].standard_moisture
    typed = entry.number("moisture_pct")
    basis = book.moisture if book.moisture is not None else _value(standard)
    if typed is None and (basis is None or basis == _value(standard)):
        return mass, ()
    if typed is None and standard is not None:
        words = {"read": f"{standard.value:g}", "expected": standard.citation()}
        desk.note("moisture-assumed", entry, "moisture_pct", **words)
        return to_moisture(mass, moisture_pct=standard.value, standard_pct=basis or 0.0), (
            desk.published("moisture taken", standard),
        )
    if typed is None or basis is None:
        return mass, ()
    return to_moisture(mass, moisture_pct=typed, standard_pct=basis), (MOISTURE,)


def _value(figure: Figure | None) -> float | None:
    return figure.value if figure else None
