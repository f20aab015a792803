"""The sheet *Nitrogen to go* and the plan of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.model import Plan, PlanLine, Results
from ledger.report.outlets import rig_table
from ledger.report.reckoned import methods_table, reason_items, reason_tables
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

MINERAL_FIGURES = ("need", "supply", "to_go")
CAUTIONS = (
    "Estimates only. A local recommendation, local rules and the product label come first.",
    "Nitrate moves with water: mind wells, tiles and the forecast. Surface urea and UAN can lose "
    "nitrogen as ammonia (published losses of surface urea run from 8 to over 40 percent of it); "
    "the rates here are not raised for that.",
)


def plan_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Need, supply, to go, product, loads, cost and rig for every zone with a crop."""
    todo = results.plan
    tables = [_zones_table(todo, shown), _product_table(todo, shown)]
    if not todo.order or todo.order.by_volume:
        tables.append(rig_table(todo, shown))
    if todo.order:
        tables.append(_order_table(todo, shown))
    if todo.prices:
        tables.append(_price_table(todo, shown))
    tables += [_minerals_table(todo, shown), *reason_tables(todo, shown)]
    tables.append(methods_table(results, shown))
    words = [
        "To go = need - supply. Below zero a zone is over; it never makes up for another zone.",
        *CAUTIONS,
    ]
    if todo.missing:
        words.append(f"For the rig the Farm sheet still wants: {', '.join(todo.missing)}.")
    return ResultSheet(id="nitrogen-to-go", name="Nitrogen to go", words=words, tables=tables)


def _where(line: PlanLine) -> list[Cell]:
    zone = line.statement.zone
    return [zone.field, zone.zone]


WHERE = (
    Heading(text="Field", format="text", width=20),
    Heading(text="Zone", format="text", width=18),
)


def supply_names(lines: Sequence[PlanLine], shown: Shown) -> list[str]:
    """All sources and passes that any zone has: sources first, passes as the year runs."""
    passes = shown.definitions.sheets["fertilizer"].by_id["pass"].choices
    met = dict.fromkeys(name for line in lines for name in line.supplies)
    return sorted(met, key=lambda name: passes.index(name) if name in passes else -1)


def _zones_table(todo: Plan, shown: Shown) -> Table:
    names = supply_names(todo.lines, shown)
    headings = [
        *WHERE,
        Heading(text=f"Area [{shown.label('area')}]", width=9),
        Heading(text="Crop", format="text", width=14),
        Heading(text="Method", format="text", width=16),
        Heading(text="Need", width=9, about=(("figure", "need"),)),
        *(Heading(text=name.capitalize(), width=10) for name in names),
        Heading(text="To go", width=9, about=(("figure", "to_go"),)),
        Heading(text="Over", width=9),
        Heading(text="Planned", width=9),
        Heading(text="To go after planned", width=9),
        Heading(text="Remark", format="wrapped", width=44),
    ]
    lines = [_zone_line(line, names, shown) for line in todo.lines]
    title = f"Nitrogen by zone [{shown.label('mass per area')}]"
    return Table(title=title, headings=headings, lines=lines)


def _zone_line(line: PlanLine, names: Sequence[str], shown: Shown) -> Line:
    figures = line.statement.figures["N"]
    over: Cell = shown.value("mass per area", _over(line)) or ""
    zone = line.statement.zone
    return Line(
        about=(("nutrient", "N"), ("field", zone.field), ("zone", zone.zone)),
        cells=[
            *_where(line),
            shown.value("area", line.statement.zone.area),
            line.statement.crop,
            line.method,
            shown.value("mass per area", figures["need"]),
            *(shown.value("mass per area", line.supplies.get(name, 0.0)) for name in names),
            shown.value("mass per area", figures["to_go"]),
            over,
            shown.value("mass per area", line.planned),
            shown.value("mass per area", _after_planned(line)),
            line.remark,
        ],
    )


def _over(line: PlanLine) -> float | None:
    to_go = line.statement.figures["N"]["to_go"]
    return None if to_go is None else max(0.0, -to_go)


def _after_planned(line: PlanLine) -> float | None:
    to_go = line.statement.figures["N"]["to_go"]
    return None if to_go is None or line.planned is None else to_go - line.planned


def _rate_quantity(by_volume: bool) -> str:
    return "volume per area" if by_volume else "mass per area"


def _total_quantity(by_volume: bool) -> str:
    return "volume" if by_volume else "mass"


def _product_table(todo: Plan, shown: Shown) -> Table:
    by_volume = todo.order.by_volume if todo.order else True
    headings = [
        *WHERE,
        Heading(text="Product", format="text", width=16),
        Heading(text=f"Rate [{shown.label(_rate_quantity(by_volume))}]"),
        Heading(text=f"Total [{shown.label(_total_quantity(by_volume))}]", format="whole"),
        Heading(text="Tank loads", format="whole", width=8),
        Heading(text=f"Cost per {shown.label('area')} [$]", format="money"),
        Heading(text="Cost [$]", format="money"),
    ]
    lines = [
        Line(
            cells=[
                *_where(line),
                line.product,
                shown.value(_rate_quantity(line.by_volume), line.rate),
                shown.value(_total_quantity(line.by_volume), line.total),
                line.loads,
                _cost_per_area(line, shown),
                line.cost,
            ]
        )
        for line in todo.lines
        if line.rate != 0
    ]
    return Table(title="Product to put on", headings=headings, lines=lines)


def _cost_per_area(line: PlanLine, shown: Shown) -> float | None:
    area = shown.value("area", line.statement.zone.area)
    return None if line.cost is None or not area else line.cost / area


def _order_table(todo: Plan, shown: Shown) -> Table:
    order = todo.order
    assert order is not None
    unit = _total_quantity(order.by_volume)
    rows: list[tuple[str, Cell, str]] = [
        (f"Needed in all zones [{shown.label(unit)}]", shown.value(unit, order.needed), "whole"),
        (
            f"With the allowance [{shown.label(unit)}]",
            shown.value(unit, order.with_allowance),
            "whole",
        ),
        ("Tank loads", order.loads, "whole"),
        ("Deliveries", order.deliveries, "whole"),
        ("Cost with allowance [$]", order.cost, "money"),
        ("Hours of work", order.hours, "one"),
    ]
    headings = [Heading(text=order.product, format="text", width=28), Heading(text="", width=18)]
    lines = [Line(cells=[text, value], format=format_) for text, value, format_ in rows]
    return Table(title="Order", headings=headings, lines=lines, note=_left_out(todo, shown))


def _left_out(todo: Plan, shown: Shown) -> str:
    """Which zones the order misses because what is to go on them is unknown or incomplete."""
    crops = shown.definitions.crops
    names = []
    for line in todo.lines:
        figures, zone = line.statement.figures["N"], line.statement.zone
        crop = crops.get(line.statement.crop)
        legume = crop is not None and crop.legume and figures["need"] is None
        if line.statement.incomplete or (figures["to_go"] is None and not legume):
            names.append(f"{zone.field} {zone.zone}")
    return f"INCOMPLETE: it is not all known for {', '.join(names)}." if names else ""


def _price_table(todo: Plan, shown: Shown) -> Table:
    headings = [
        Heading(text="Product", format="text", width=20),
        Heading(text=f"Price of N [{shown.label('price of mass')}]", format="two", width=18),
    ]
    lines = [
        Line(
            cells=[item.product, shown.value("price of mass", item.price)],
            kind="total" if todo.order and item.product == todo.order.product else "plain",
            format="money",
        )
        for item in todo.prices
    ]
    note = "Of all nitrogen in the product; other nutrients in it are not deducted."
    return Table(title="What nitrogen costs", headings=headings, lines=lines, note=note)


def _minerals_table(todo: Plan, shown: Shown) -> Table:
    """Need, supply and to go of the other nutrients, where the Crops sheet gives a need."""
    nutrients = [n for n in shown.definitions.nutrients if n != "N"]
    headings = [
        *WHERE,
        *(
            Heading(text=f"{nutrient} {figure.replace('_', ' ')}", width=9)
            for nutrient in nutrients
            for figure in MINERAL_FIGURES
        ),
    ]
    lines = [
        Line(
            cells=[
                *_where(line),
                *(
                    shown.value("mass per area", line.statement.figures[nutrient][figure])
                    for nutrient in nutrients
                    for figure in MINERAL_FIGURES
                ),
            ]
        )
        for line in todo.lines
    ]
    title = f"The other nutrients [{shown.label('mass per area')}]"
    note = "Unknown need: pick a P and K method on the Crops sheet, or enter a recommendation."
    return Table(title=title, headings=headings, lines=lines, note=note)


# ----------------------------------------------------------------------- JSON
def order_item(todo: Plan, shown: Shown) -> dict[str, Any] | None:
    """The ``order`` of the result document; None without a sidedress product."""
    order = todo.order
    if order is None:
        return None
    unit = _total_quantity(order.by_volume)
    return {
        "product": order.product,
        "unit": shown.label(unit),
        "complete": not _left_out(todo, shown),
        "needed_total": shown.value(unit, order.needed),
        "with_allowance_total": shown.value(unit, order.with_allowance),
        "loads": order.loads,
        "deliveries": order.deliveries,
        "cost_total": order.cost,
        "hours": order.hours,
        "prices_of_n": {
            item.product: shown.value("price of mass", item.price) for item in todo.prices
        },
    }


def plan_items(todo: Plan, shown: Shown) -> list[dict[str, Any]]:
    """The ``plan`` of the result document, one item a zone."""
    return [_item(line, shown) for line in todo.lines]


def _item(line: PlanLine, shown: Shown) -> dict[str, Any]:
    rig = line.rig
    quantity = _rate_quantity(line.by_volume)
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
        "volume_total": shown.value(_total_quantity(line.by_volume), line.total),
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
