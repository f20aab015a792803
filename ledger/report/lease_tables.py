"""Tables for the owner of rented ground: mined or built up, shared costs, what is left over."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model import Book, Definitions, Entry, Results
from ledger.model.ranges import WHOLE_FARM, Span
from ledger.report.costs import cost_shares, field_costs
from ledger.report.money import (
    balance_value,
    crops_taken,
    nutrient_prices,
    part_of_cost,
    unused_value,
)
from ledger.report.spans import rough, told
from ledger.report.tables import Cell, Heading, Line, Rough, Table
from ledger.report.units import Shown
from ledger.report.work import Work, total_of

# What is over of it does not wait in the soil for the next crop, so it is no stock to value.
FLEETING = ("N",)


def mined_table(part: Results, shown: Shown) -> Table:
    """Applied less removed on all of the ground: mass, and worth at the sheet's prices."""
    prices = nutrient_prices(part.book, shown.definitions)
    headings = [
        Heading(text="Nutrient", format="text", width=12),
        Heading(text=f"Balance [{shown.label('mass')}]", format="whole", width=12),
        Heading(text="", format="wrapped", width=20),
        Heading(text=f"Price [{shown.label('price of mass')}]", format="two", width=12),
        Heading(text="Worth [$]", format="money", width=12),
    ]
    lines = []
    kept = {n: f for n, f in part.farm.figures.items() if n not in FLEETING}
    for nutrient, figures in kept.items():
        mass, price = figures["balance"], prices.get(nutrient)
        reach = part.ranges.of(WHOLE_FARM, nutrient, "balance")
        cells = [
            nutrient,
            rough(shown.value("mass", mass), reach),
            _said(mass, reach, shown),
            shown.value("price of mass", price),
            _worth(mass, price, reach),
        ]
        lines.append(Line(cells=cells))
    note = (
        "Applied less removed, at the Farm sheet's prices; where the range runs from mined to "
        "built up, so does the worth. Nitrogen does not keep in the soil."
    )
    return Table(title="Mined or built up", headings=headings, lines=lines, note=note)


def _unsure(reach: Span | None) -> bool:
    """Whether the range leaves open which of the two it is."""
    return reach is not None and reach.low < 0 < reach.high


def _worth(mass: float | None, price: float | None, reach: Span | None) -> Cell:
    """What the balance is worth [$]: from low to high where even its sign is open."""
    if reach is None or price is None or not _unsure(reach):
        return rough(balance_value(mass, price), reach)
    return told(reach.low * price, reach.high * price, decimals=0)


def _said(mass: float | None, reach: Span | None, shown: Shown) -> str:
    if mass is None:
        return "unknown"
    if reach is not None and _unsure(reach):
        low, high = (abs(shown.value("mass", end) or 0.0) for end in (reach.low, reach.high))
        return f"from {low:,.0f} mined to {high:,.0f} built up"
    return "built up" if mass > 0 else "mined" if mass < 0 else "even"


def costs_table(part: Results, work: Sequence[Work], shown: Shown) -> Table:
    """The owner's part of fertilizer and of the manure's value, where costs are shared."""
    shares = cost_shares(part)
    headings = [
        Heading(text="Field", format="wrapped", width=20),
        Heading(text="Your share [%]", width=10),
        Heading(text="Fertilizer [$]", format="money", width=14),
        Heading(text="Your part [$]", format="money", width=14),
        Heading(text="Manure value [$]", format="money", width=14),
        Heading(text="Your part [$]", format="money", width=14),
    ]
    lines = []
    for cost in field_costs(part, work, shown):
        percent = shares.get(cost.name)
        if percent != 0:
            fertilizer, manure = cost.fertilizer, cost.manure_usable
            yours = [part_of_cost(value, percent) for value in (fertilizer, manure)]
            worth = [rough(manure, cost.ranged), rough(yours[1], cost.ranged)]
            cells = [cost.name, percent, fertilizer, yours[0], *worth]
            lines.append(Line(cells=cells))
    if lines:
        sums = [_sum([line.cells[at] for line in lines]) for at in (2, 3, 4, 5)]
        lines.append(Line(kind="total", cells=["Total", "", *sums]))
    note = "Manure: usable nutrients that the crop wants, at the Farm sheet's prices."
    note = note if lines else "No cost is shared on your ground."
    return Table(title="Shared costs", headings=headings, lines=lines, note=note)


def _sum(cells: Sequence[Cell]) -> Cell:
    """A sum that is unknown where a part of it is, and has the sign where a part has it."""
    return rough(total_of([_figure(c) for c in cells]), any(isinstance(c, Rough) for c in cells))


def _figure(cell: object) -> float | None:
    return float(cell) if isinstance(cell, (int, float)) else None


def lease_items_table(book: Book, definitions: Definitions) -> Table:
    """Lime, build-up and the like: what is left of the tenant's part in a straight line."""
    headings = [
        Heading(text="Item", format="wrapped", width=20),
        Heading(text="Done", format="date", width=12),
        Heading(text="Field", format="wrapped", width=18),
        Heading(text="Notes", format="wrapped", width=32),
        Heading(text="Cost [$]", format="money", width=12),
        Heading(text="Tenant paid [%]", width=9),
        Heading(text="Good for [crops]", width=9),
        Heading(text="Crops taken", format="whole", width=8),
        Heading(text="Tenant's part not used up [$]", format="money", width=14),
    ]
    items = book.entries.get("lease_items", ())
    lines = [_item_line(item, book.year, definitions) for item in items]
    note = f"Straight line, after the harvest of {book.year}; its first crop counts as taken."
    note = note if lines else "None is recorded."
    return Table(
        title="Lime and build-up not yet used up", headings=headings, lines=lines, note=note
    )


def _item_line(item: Entry, year: int, definitions: Definitions) -> Line:
    day, cost, life = item.day("date"), item.number("cost"), item.number("life_years")
    percent = item.number("paid_by_pct")
    taken = None if day is None else crops_taken(day, year, definitions)
    known = cost is not None and life and taken is not None
    return Line(
        cells=[
            item.text("item"),
            day,
            item.text("field", "all of your ground"),
            item.text("notes"),
            cost,
            percent,
            life,
            taken,
            unused_value(cost or 0.0, life or 1.0, taken or 0, percent) if known else None,
        ]
    )
