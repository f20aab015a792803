"""Cells for a new workbook: as they were typed, or base figures in the units of headings."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from ledger.model import Column, Definitions, Entry, Sheet, System, Value

Cells = dict[str, object]
DIGITS = 12  # significant: more than anyone measures, fewer than conversions leave dust in


def as_typed(entry: Entry, sheet: Sheet) -> Cells:
    """A line's cells as they stand in the old workbook, names as their own sheet spells them."""
    return {
        name: _same(sheet.by_id[name], cell, entry)
        for name, cell in entry.row.cells.items()
        if name in entry.values
    }


def _same(column: Column, cell: object, entry: Entry) -> object:
    if column.is_date:
        return entry.day(column.id)
    if column.is_number:
        return cell if isinstance(cell, (int, float, str)) else str(cell)
    value = entry.values[column.id]
    if isinstance(value, (datetime, date)):
        return value
    return str(value)


def in_units(
    values: Mapping[str, Value | None], sheet: Sheet, system: System, definitions: Definitions
) -> Cells:
    """Base figures in the units of a sheet's headings, blanks left out; the rest as it is.

    Figures are rounded to ``DIGITS``, since a person reads them in the cells.
    For columns whose unit is their heading's own, or that of a unit column among ``values``.
    """
    return {
        name: _clean(value / _factor(sheet.by_id[name], values, system, definitions))
        if isinstance(value, float)
        else value
        for name, value in values.items()
        if value not in (None, "")
    }


def _clean(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _factor(
    column: Column, values: Mapping[str, Value | None], system: System, definitions: Definitions
) -> float:
    unit = column.unit.get(system, "")
    if column.unit_column:
        unit = str(values[column.unit_column])
    return definitions.units[unit].factor if unit else 1.0
