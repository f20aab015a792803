"""The sheet *Nitrogen to go* and the plan of the JSON document."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ledger.model import Plan, PlanLine, Results
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table
from ledger.report.units import Shown

CAUTIONS = (
    "Estimates only. A local recommendation, local rules and the product label come first.",
    "Nitrate moves with water: mind wells, tiles and the forecast. Surface urea and UAN can lose "
    "nitrogen as ammonia (published losses of surface urea run from 8 to over 40 percent of it); "
    "the rates here are not raised for that.",
)


def plan_sheet(results: Results, shown: Shown) -> ResultSheet:
    """Need, supply, to go, product, loads, cost and rig for every zone with a crop."""
    todo = results.plan
    tables = [_zones_table(todo, shown), _product_table(todo, shown), _rig_table(todo, shown)]
    if todo.order:
        tables.append(_order_table(todo, shown))
    if todo.prices:
        tables.append(_price_table(todo, shown))
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
        Heading(text="Need", width=9),
        *(Heading(text=name.capitalize(), width=10) for name in names),
        Heading(text="To go", width=9),
        Heading(text="Over", width=9),
        Heading(text="Planned", width=9),
        Heading(text="Remark", format="text", width=40),
    ]
    lines = [_zone_line(line, names, shown) for line in todo.lines]
    title = f"Nitrogen by zone [{shown.label('mass per area')}]"
    return Table(title=title, headings=headings, lines=lines)


def _zone_line(line: PlanLine, names: Sequence[str], shown: Shown) -> Line:
    figures = line.statement.figures["N"]
    to_go = shown.value("mass per area", figures["to_go"])
    over: Cell = "" if to_go is None or to_go >= 0 else -to_go
    return Line(
        cells=[
            *_where(line),
            shown.value("area", line.statement.zone.area),
            line.statement.crop,
            line.method,
            shown.value("mass per area", figures["need"]),
            *(shown.value("mass per area", line.supplies.get(name, 0.0)) for name in names),
            to_go,
            over,
            shown.value("mass per area", line.planned),
            line.remark,
        ]
    )


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
        Heading(text=f"Cost a {shown.label('area')} [$]", format="money"),
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


def _rig_table(todo: Plan, shown: Shown) -> Table:
    headings = [
        *WHERE,
        Heading(text=f"Flow per outlet [{shown.label('flow')}]", format="two", width=14),
        Heading(text=f"Pressure [{shown.label('pressure')}]"),
        Heading(text="Within limits", format="text"),
        Heading(text=f"Slowest [{shown.label('speed')}]"),
        Heading(text=f"Fastest [{shown.label('speed')}]"),
        Heading(text=f"Outlet that would fit [{shown.label('flow')}]", format="two", width=16),
    ]
    lines = [_rig_line(line, shown) for line in todo.lines if line.rate]
    note = "The outlet that would fit is given as its flow at the known pressure, known fluid."
    return Table(title="Can the rig put it on?", headings=headings, lines=lines, note=note)


def _rig_line(line: PlanLine, shown: Shown) -> Line:
    rig = line.rig
    if rig is None:
        return Line(cells=[*_where(line), None, None, "unknown", None, None, ""])
    said = {True: "yes", False: "no", None: "limits not given"}[rig.pressure_ok]
    wanted: Cell = "" if rig.outlet_wanted is None else shown.value("flow", rig.outlet_wanted)
    return Line(
        cells=[
            *_where(line),
            shown.value("flow", rig.flow_per_outlet),
            shown.value("pressure", rig.pressure),
            said,
            shown.value("speed", rig.speed_min),
            shown.value("speed", rig.speed_max),
            wanted,
        ]
    )


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
    return Table(title="Order", headings=headings, lines=lines)


def _price_table(todo: Plan, shown: Shown) -> Table:
    headings = [
        Heading(text="Product", format="text", width=20),
        Heading(text=f"Price of N [{shown.label('price of mass')}]", format="two", width=18),
    ]
    lines = [
        Line(cells=[item.product, shown.value("price of mass", item.price)]) for item in todo.prices
    ]
    note = "Of all nitrogen in the product; other nutrients in it are not deducted."
    return Table(title="What nitrogen costs", headings=headings, lines=lines, note=note)


# ----------------------------------------------------------------------- JSON
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
        "planned": shown.value("mass per area", line.planned),
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
        "remark": line.remark,
    }
