"""Factors of what was typed and of what was published, with the place they come from."""

from __future__ import annotations

from ledger.model import Entry, Factor, Figure


def cell_factor(name: str, entry: Entry, column: str, value: float, unit: str) -> Factor:
    """A factor that was typed: its origin is the cell, or the cells it is the mean of."""
    slips = (entry.slips or {}).get(column)
    if slips:
        origin = ", ".join(slips.cells)
        return Factor(
            name=name, value=value, unit=unit, origin=origin, low=slips.low, high=slips.high
        )
    origin = f"{entry.row.grid.sheet_name}!{entry.row.address(column)}"
    return Factor(name=name, value=value, unit=unit, origin=origin)


def figure_factor(name: str, figure: Figure) -> Factor:
    """A factor that was published: its origin is the citation."""
    return Factor(
        name=name,
        value=figure.value,
        unit=figure.unit,
        origin=figure.citation(),
        low=figure.low,
        high=figure.high,
    )
