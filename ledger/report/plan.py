"""The sheet *Nitrogen to go* and the plan of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.model import Plan, PlanLine, Results
from ledger.model.ranges import Ranges, Scope
from ledger.reach import any_ranged
from ledger.report.outlets import rig_table
from ledger.report.plan_order import (
    ENDS,
    WHERE,
    left_out,
    order_table,
    price_table,
    product_table,
    rate_quantity,
    rough_line,
    total_quantity,
    where,
)
from ledger.report.reckoned import methods_table, reason_items, reason_tables
from ledger.report.spans import BESIDE, MARKED, figure_cells, ranged, rough, with_ranges
from ledger.report.tables import CROP_WIDTH, METHOD_WIDTH, Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

NITROGEN_FIGURES = {"need": "Need", "supply": "Supplied", "to_go": "To go"}
SUPPLY_FIGURES = {
    "manure": "manure_credit",
    "earlier manure": "residual",
    "other credits": "credits",
}
MINERAL_FIGURES = ("need", "supply", "to_go")
CAUTIONS = (
    "Estimates only. A local recommendation, local rules and the product label come first.",
    "Nitrate moves with water: mind wells, tiles and the forecast. Surface urea and UAN can lose "
    "nitrogen as ammonia",
    "(published losses of surface urea run from 8 to over 40 percent of it); the rates here are "
    "not raised for that.",
)


def plan_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Need, supply, to go, product, loads, cost and rig for every zone with a crop."""
    todo = results.plan
    ranges = results.ranges
    tables = [_zones_table(todo, ranges, shown), product_table(todo, ranges, shown)]
    if not todo.order or todo.order.by_volume:
        tables.append(rig_table(todo, ranges, shown))
    if todo.order:
        tables.append(order_table(todo, shown))
    if todo.prices:
        tables.append(price_table(todo, shown))
    tables += [_supplies_table(todo, ranges, shown), _minerals_table(todo, ranges, shown)]
    tables += reason_tables(todo, ranges, shown)
    tables.append(methods_table(results, shown))
    words = [
        "To go = need - supply. Below zero a zone is over; it never makes up for another zone.",
        *CAUTIONS,
        BESIDE,
        MARKED,
    ]
    if todo.missing:
        words.append(f"For the rig the Farm sheet still wants: {', '.join(todo.missing)}.")
    return ResultSheet(id="nitrogen-to-go", name="Nitrogen to go", words=words, tables=tables)


def supply_names(lines: Sequence[PlanLine], shown: Shown) -> list[str]:
    """All sources and passes that any zone has: sources first, passes as the year runs."""
    passes = shown.definitions.sheets["fertilizer"].by_id["pass"].choices
    met = dict.fromkeys(name for line in lines for name in line.supplies)
    return sorted(met, key=lambda name: passes.index(name) if name in passes else -1)


def _zones_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    columns = ranged(ranges, NITROGEN_FIGURES, map(_scope, todo.lines), ("N",))
    figures = [
        Heading(text=text, width=9, about=(("figure", figure),))
        for figure, text in NITROGEN_FIGURES.items()
    ]
    headings = [
        *WHERE,
        Heading(text=f"Area [{shown.label('area')}]", width=8),
        Heading(text="Crop", format="text", width=CROP_WIDTH),
        Heading(text="Method", format="text", width=METHOD_WIDTH),
        *with_ranges(figures, columns),
        Heading(text="Over", width=8),
        Heading(text="Planned", width=8),
        Heading(text="To go after planned", width=9),
        Heading(text="Remark", format="wrapped", width=30),
    ]
    lines = [_zone_line(line, columns, ranges, shown) for line in todo.lines]
    title = f"Nitrogen by zone [{shown.label('mass per area')}]"
    return Table(title=title, headings=headings, lines=lines)


def _supplies_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    """What every zone has by source and pass; apart, since few columns print larger."""
    names = supply_names(todo.lines, shown)
    columns = ranged(ranges, ("manure_credit",), map(_scope, todo.lines), ("N",))
    figures = [
        Heading(text=name.capitalize(), width=9, about=_supply_about(name)) for name in names
    ]
    lines = [_supplies_line(line, names, columns, ranges, shown) for line in todo.lines]
    title = f"Nitrogen supplied, by source and pass [{shown.label('mass per area')}]"
    return Table(title=title, headings=[*WHERE, *with_ranges(figures, columns)], lines=lines)


def _scope(line: PlanLine) -> Scope:
    zone = line.statement.zone
    return (zone.field, zone.zone)


def _supply_about(name: str) -> tuple[tuple[str, str], ...]:
    """Which figure a supply is; fertilizer is told by its passes, which are parts of it."""
    if name in SUPPLY_FIGURES:
        return (("figure", SUPPLY_FIGURES[name]),)
    return (("figure", "fertilizer"), ("pass", name))


def _zone_line(line: PlanLine, columns: frozenset[str], ranges: Ranges, shown: Shown) -> Line:
    scope, figures = _scope(line), line.statement.figures["N"]
    told: list[Cell] = []
    for figure in NITROGEN_FIGURES:
        value = shown.value("mass per area", figures[figure])
        told += figure_cells(value, ranges.of(scope, "N", figure), figure in columns, shown)
    over, left = ranges.of(scope, "N", "to_go"), rough_line(line, ranges)
    planned = any_ranged(line.reasons.get("planned", ()))
    return Line(
        about=_about(line),
        cells=[
            *where(line),
            shown.value("area", line.statement.zone.area),
            line.statement.crop,
            line.method,
            *told,
            rough(shown.value("mass per area", _over(line)) or "", over),
            rough(shown.value("mass per area", line.planned), planned),
            rough(shown.value("mass per area", _after_planned(line)), left),
            line.remark,
        ],
    )


def _about(line: PlanLine) -> tuple[tuple[str, str], ...]:
    return (("nutrient", "N"), *zip(("field", "zone"), _scope(line), strict=True))


def _supplies_line(
    line: PlanLine, names: Sequence[str], columns: frozenset[str], ranges: Ranges, shown: Shown
) -> Line:
    told: list[Cell] = []
    for name in names:
        figure = SUPPLY_FIGURES.get(name, name)
        value = shown.value("mass per area", line.supplies.get(name, 0.0))
        span = ranges.of(_scope(line), "N", figure)
        told += figure_cells(value, span, figure in columns, shown)
    return Line(about=_about(line), cells=[*where(line), *told])


def _over(line: PlanLine) -> float | None:
    to_go = line.statement.figures["N"]["to_go"]
    return None if to_go is None else max(0.0, -to_go)


def _after_planned(line: PlanLine) -> float | None:
    to_go = line.statement.figures["N"]["to_go"]
    return None if to_go is None or line.planned is None else to_go - line.planned


def _minerals_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    """Need, supply and to go of the other nutrients, where the Crops sheet gives a need."""
    nutrients = [n for n in shown.definitions.nutrients if n != "N"]
    columns = ranged(ranges, ("to_go",), map(_scope, todo.lines), nutrients)
    figures = [
        Heading(
            text=f"{nutrient} {figure.replace('_', ' ')}",
            width=9,
            about=(("nutrient", nutrient), ("figure", figure)),
        )
        for nutrient in nutrients
        for figure in MINERAL_FIGURES
    ]
    headings = [*WHERE, *with_ranges(figures, columns)]
    lines = [_minerals_line(line, nutrients, columns, ranges, shown) for line in todo.lines]
    title = f"The other nutrients [{shown.label('mass per area')}]"
    note = "Unknown need: pick a P and K method on the Crops sheet, or enter a recommendation."
    return Table(title=title, headings=headings, lines=lines, note=note)


def _minerals_line(
    line: PlanLine, nutrients: Sequence[str], columns: frozenset[str], ranges: Ranges, shown: Shown
) -> Line:
    scope = _scope(line)
    cells: list[Cell] = []
    for nutrient in nutrients:
        for figure in MINERAL_FIGURES:
            value = shown.value("mass per area", line.statement.figures[nutrient][figure])
            span = ranges.of(scope, nutrient, figure)
            cells += figure_cells(value, span, figure in columns, shown)
    about = tuple(zip(("field", "zone"), scope, strict=True))
    return Line(about=about, cells=[*where(line), *cells])


# ----------------------------------------------------------------------- JSON
def order_item(todo: Plan, shown: Shown) -> dict[str, Any] | None:
    """The ``order`` of the result document; None without a sidedress product."""
    order = todo.order
    if order is None:
        return None
    unit = total_quantity(order.by_volume)
    return {
        "product": order.product,
        "unit": shown.label(unit),
        "complete": not left_out(todo, shown),
        "needed_total": shown.value(unit, order.needed),
        "custom_total": shown.value(unit, order.custom),
        "with_allowance_total": shown.value(unit, order.with_allowance),
        "loads": order.loads,
        "deliveries": order.deliveries,
        "cost_total": order.cost,
        "needed_range_total": _order_range(todo, "needed", unit, shown),
        "cost_range_total": _order_range(todo, "cost", None, shown),
        "hours": order.hours,
        "prices_of_n": {
            item.product: shown.value("price of mass", item.price) for item in todo.prices
        },
    }


def _order_range(todo: Plan, figure: str, quantity: str | None, shown: Shown) -> list[float] | None:
    """A figure of the order at the low and the high end; None without a range."""
    ends = [getattr(todo.ends[end].order, figure) for end in ENDS if todo.ends]
    values = [shown.value(quantity, end) if quantity else end for end in ends]
    return [value for value in values if value is not None] or None


def plan_items(todo: Plan, shown: Shown) -> list[dict[str, Any]]:
    """The ``plan`` of the result document, one item a zone."""
    return [_item(line, shown) for line in todo.lines]


def _item(line: PlanLine, shown: Shown) -> dict[str, Any]:
    rig = line.rig
    quantity = rate_quantity(line.by_volume)
    return {
        "field": line.statement.zone.field,
        "zone": line.statement.zone.zone,
        "area": shown.value("area", line.statement.zone.area),
        "method": line.method or None,
        "need": shown.value("mass per area", line.statement.figures["N"]["need"]),
        "supplies": {
            name: shown.value("mass per area", value) for name, value in line.supplies.items()
        },
        "to_go": shown.value("mass per area", line.statement.figures["N"]["to_go"]),
        "over": shown.value("mass per area", _over(line)),
        "planned": shown.value("mass per area", line.planned),
        "to_go_after_planned": shown.value("mass per area", _after_planned(line)),
        "product": line.product or None,
        "rate": shown.value(quantity, line.rate),
        "rate_unit": shown.label(quantity),
        "volume_total": shown.value(total_quantity(line.by_volume), line.total),
        "loads": line.loads,
        "cost_total": line.cost,
        "flow_per_outlet": shown.value("flow", rig.flow_per_outlet) if rig else None,
        "pressure": shown.value("pressure", rig.pressure) if rig else None,
        "pressure_ok": rig.pressure_ok if rig else None,
        "speed_min": shown.value("speed", rig.speed_min) if rig else None,
        "speed_max": shown.value("speed", rig.speed_max) if rig else None,
        "outlet_wanted": shown.value("flow", rig.outlet_wanted) if rig else None,
        "speed_fits": rig.speed_fits if rig else None,
        "remark": line.remark,
        "reasons": reason_items(line, shown),
    }
