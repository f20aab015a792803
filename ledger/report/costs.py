"""Costs and values: what nutrients cost by product, by field, and what manure is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ledger.model import Entry, Results, Statement
from ledger.report.money import (
    alone,
    beside,
    cost_of,
    manure_value,
    nutrient_prices,
    part_of_cost,
)
from ledger.report.spans import MARKED_ON_PAPER, rough
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown
from ledger.report.work import Work, total_of

WORDS = (
    "A price that is blank stays unknown, and so does every sum it is part of.",
    "Manure is worth what its usable nutrients would cost in a bag, and no more of a nutrient "
    "than the crop wants (need; where no need is known, what harvest took); all usable "
    "nutrients stand beside it. The hauling is to be set against it.",
    MARKED_ON_PAPER,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldCost:
    """Money on one field [$]; None is unknown.

    ``ranged`` says whether the value of its manure hangs on figures with a range.
    """

    name: str
    area: float
    fertilizer: float | None
    manure_usable: float | None
    manure_all: float | None
    hauling: float | None
    ranged: bool


def costs_sheet(results: Results, work: Sequence[Work], shown: Shown) -> ResultSheet:
    """Prices of nutrients by product, costs by line and by field, value of manure."""
    own = [item for item in work if not item.custom]
    tables = [
        prices_table(results, own, shown),
        by_field_table(field_costs(results, own, shown), results, shown),
        lines_table(own, shown),
    ]
    return ResultSheet(id="cost-and-value", name="Cost and value", words=WORDS, tables=tables)


def prices_table(results: Results, work: Sequence[Work], shown: Shown) -> Table:
    """What a nutrient costs in each product used, alone and beside the others."""
    nutrients = list(nutrient_prices(results.book, shown.definitions))
    unit = shown.label("price of mass")
    headings = [
        Heading(text="Product", format="wrapped", width=22),
        Heading(text="Price [$]", format="money", width=10),
        Heading(text="per", format="text", width=6),
        *(Heading(text=f"{n} alone [{unit}]", format="two", width=9) for n in nutrients),
        *(Heading(text=f"{n}, others paid [{unit}]", format="two", width=10) for n in nutrients),
    ]
    used = {item.name: item.material for item in work if item.kind == "product" and item.material}
    lines = [_price_line(product, nutrients, results, shown) for product in used.values()]
    note = "Alone: it bears the whole price. Others paid: they cost what the Farm sheet says."
    return Table(title="What nutrients cost", headings=headings, lines=lines, note=note)


def _price_line(product: Entry, nutrients: Sequence[str], results: Results, shown: Shown) -> Line:
    known = shown.definitions
    prices = nutrient_prices(results.book, known)
    column = known.sheets["products"].by_id["price"]
    unit = column.unit_of_choice.get(product.text("price_per"), "")
    price = product.number("price")
    held = {n: product.number(known.nutrients[n].columns["product"]) != 0 for n in nutrients}

    def cell(nutrient: str, value: float | None) -> Cell:
        return shown.value("price of mass", value) if held[nutrient] else ""

    return Line(
        cells=[
            product.text("product"),
            None if price is None else price / known.units[unit].factor,
            product.text("price_per"),
            *(cell(n, alone(product, n, known)) for n in nutrients),
            *(cell(n, beside(product, n, prices, known)) for n in nutrients),
        ]
    )


def field_costs(results: Results, work: Sequence[Work], shown: Shown) -> list[FieldCost]:
    """Money by field of one's own and rented ground, fields in workbook order."""
    by_field: dict[str, list[Statement]] = {}
    for statement in results.statements:
        if not statement.zone.custom:
            by_field.setdefault(statement.zone.field, []).append(statement)
    return [_field_cost(name, zones, work, results, shown) for name, zones in by_field.items()]


def _field_cost(
    name: str, zones: Sequence[Statement], work: Sequence[Work], results: Results, shown: Shown
) -> FieldCost:
    here = [item for item in work if item.field == name]
    spread = [item for item in here if item.kind == "manure"]
    value = manure_value(zones, nutrient_prices(results.book, shown.definitions), results.ranges)
    fed = [cost_of(item, shown.definitions) for item in here if item.kind == "product"]
    return FieldCost(
        name=name,
        area=sum(statement.zone.area for statement in zones),
        fertilizer=total_of(fed),
        manure_usable=value.usable,
        manure_all=value.everything,
        hauling=total_of([item.entry.number("haul_cost") for item in spread]),
        ranged=value.ranged,
    )


def by_field_table(costs: Sequence[FieldCost], results: Results, shown: Shown) -> Table:
    """Costs and values by field, per area too, with the owner's part by the lease share."""
    area = shown.label("area")
    headings = [
        Heading(text="Field", format="wrapped", width=22),
        Heading(text=f"Area [{area}]", width=10),
        Heading(text="Fertilizer [$]", format="money", width=12),
        Heading(text=f"Fertilizer [$/{area}]", format="money", width=10),
        Heading(text="Manure, usable and wanted [$]", format="money", width=12),
        Heading(text="Manure, all usable [$]", format="money", width=12),
        Heading(text="Hauling [$]", format="money", width=10),
        Heading(text="Manure less hauling [$]", format="money", width=12),
        Heading(text="Owner's cost share [%]", format="one", width=9),
        Heading(text="Owner's part of fertilizer [$]", format="money", width=12),
        Heading(text="Owner's part of manure [$]", format="money", width=12),
    ]
    percents = cost_shares(results)
    lines = [_field_line(cost, percents.get(cost.name), shown) for cost in costs]
    note = "Whether manure counts in a shared cost, the lease says."
    return Table(title="By field", headings=headings, lines=lines, note=note)


def cost_shares(results: Results) -> dict[str, float | None]:
    """The owner's cost share by field [%]: of crop share ground, and where nothing is said."""
    people = results.book.named("people", "name")
    fields = results.book.entries.get("fields", ())
    return {e.text("field"): _cost_share(e, people.get(e.text("owner"))) for e in fields}


def _cost_share(field: Entry, owner: Entry | None) -> float | None:
    tenure = field.text("tenure")
    said = owner.number("cost_share_pct") if owner else None
    if tenure == "crop share":
        return said
    return said if said is not None and not tenure else 0.0


def _field_line(cost: FieldCost, percent: float | None, shown: Shown) -> Line:
    area = shown.value("area", cost.area)
    net = None
    if cost.manure_usable is not None and cost.hauling is not None:
        net = cost.manure_usable - cost.hauling
    return Line(
        cells=[
            cost.name,
            area,
            cost.fertilizer,
            None if cost.fertilizer is None or not area else cost.fertilizer / area,
            rough(cost.manure_usable, cost.ranged),
            rough(cost.manure_all, cost.ranged),
            cost.hauling,
            rough(net, cost.ranged),
            percent,
            part_of_cost(cost.fertilizer, percent),
            rough(part_of_cost(cost.manure_usable, percent), cost.ranged),
        ]
    )


def lines_table(work: Sequence[Work], shown: Shown) -> Table:
    """What each line of fertilizer cost, per area and in all."""
    headings = [
        Heading(text="Field", format="wrapped", width=22),
        Heading(text="Date", format="date", width=11),
        Heading(text="Zone", format="wrapped", width=12),
        Heading(text="Product", format="wrapped", width=14),
        Heading(text=f"Area [{shown.label('area')}]", width=12),
        Heading(text=f"Cost [$/{shown.label('area')}]", format="money", width=12),
        Heading(text="Cost [$]", format="money", width=12),
    ]
    lines = [_cost_line(item, shown) for item in work if item.kind == "product"]
    return Table(title="By line of fertilizer", headings=headings, lines=lines)


def _cost_line(work: Work, shown: Shown) -> Line:
    cost, area = cost_of(work, shown.definitions), shown.value("area", work.area)
    return Line(
        cells=[
            work.field,
            work.entry.day("date"),
            work.entry.text("zone", "all"),
            work.name,
            area,
            None if cost is None or not area else cost / area,
            cost,
        ]
    )
