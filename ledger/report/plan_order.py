"""The order in the plan: product, loads and cost by zone and in all, and what nitrogen costs."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model import Order, Plan, PlanLine
from ledger.model.ranges import Ranges
from ledger.reach import any_ranged
from ledger.report.links import zone_jump
from ledger.report.spans import rough
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown

WHERE = (
    Heading(text="Field", format="text", width=18),
    Heading(text="Zone", format="text", width=14),
)

NO_PRODUCT = "Unknown until a sidedress product with a nitrogen grade is picked on the Farm sheet."
WANTED = {
    "loads": "Tank loads",
    "deliveries": "Deliveries",
    "cost": "Cost",
    "hours": "Hours of work",
}


def where(line: PlanLine) -> list[Cell]:
    """The field and the zone of a line, the zone a way to its postings."""
    zone = line.statement.zone
    return [zone.field, zone_jump(zone.field, zone.zone)]


def rough_line(line: PlanLine, ranges: Ranges) -> bool:
    """Whether what is to go on a zone, after what is planned, hangs on figures with a range."""
    zone = line.statement.zone
    to_go = ranges.of((zone.field, zone.zone), "N", "to_go")
    return to_go is not None or any_ranged(line.reasons.get("planned", ()))


def rate_quantity(by_volume: bool) -> str:
    """The quantity a rate is shown in."""
    return "volume per area" if by_volume else "mass per area"


def total_quantity(by_volume: bool) -> str:
    """The quantity a whole amount is shown in."""
    return "volume" if by_volume else "mass"


def product_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    """Product, loads and cost of every zone that still wants some."""
    by_volume = todo.order.by_volume if todo.order else True
    headings = [
        *WHERE,
        Heading(text="Product", format="text", width=11),
        Heading(text=f"Rate [{shown.label(rate_quantity(by_volume))}]"),
        Heading(text=f"Total [{shown.label(total_quantity(by_volume))}]", format="whole"),
        Heading(text="Tank loads", format="whole", width=8),
        Heading(text=f"Cost per {shown.label('area')} [$]", format="money"),
        Heading(text="Cost [$]", format="money"),
    ]
    lines = [_product_line(line, ranges, shown) for line in todo.lines if line.rate != 0]
    note = "" if todo.order or not lines else NO_PRODUCT
    return Table(title="Product to put on", headings=headings, lines=lines, note=note)


def _product_line(line: PlanLine, ranges: Ranges, shown: Shown) -> Line:
    if line.statement.incomplete:  # a rate to drive by would be wrong
        return Line(cells=[*where(line), line.product, "incomplete", "", "", "", ""])
    figures = (
        shown.value(rate_quantity(line.by_volume), line.rate),
        shown.value(total_quantity(line.by_volume), line.total),
        line.loads,
        _cost_per_area(line, shown),
        line.cost,
    )
    when = rough_line(line, ranges)
    return Line(cells=[*where(line), line.product, *(rough(value, when) for value in figures)])


def _cost_per_area(line: PlanLine, shown: Shown) -> float | None:
    area = shown.value("area", line.statement.zone.area)
    return None if line.cost is None or not area else line.cost / area


def order_table(todo: Plan, ranges: Ranges, shown: Shown) -> Table:
    """What to order for all zones together."""
    order = todo.order
    assert order is not None
    unit = total_quantity(order.by_volume)
    rows: list[tuple[str, Cell, str]] = [
        (f"Needed in all [{shown.label(unit)}]", shown.value(unit, order.needed), "whole"),
        (
            f"With the allowance [{shown.label(unit)}]",
            shown.value(unit, order.with_allowance),
            "whole",
        ),
        ("Tank loads", _count(order.loads, "loads", order), "whole"),
        ("Deliveries", _count(order.deliveries, "deliveries", order), "whole"),
        ("Cost with allowance [$]", order.cost, "money"),
        ("Hours of work", order.hours, "one"),
    ]
    headings = [Heading(text=order.product, format="text", width=22), Heading(text="", width=14)]
    when = any(rough_line(line, ranges) for line in todo.lines)
    lines = [Line(cells=[text, rough(x, when)], format=format_) for text, x, format_ in rows]
    note = " ".join(filter(None, (left_out(todo, shown), *_wanted(order))))
    return Table(title="Order", headings=headings, lines=lines, note=note)


def _count(number: int | None, figure: str, order: Order) -> Cell:
    """A number of tanks, blank where the product is not counted in any."""
    return "" if number is None and figure not in order.wants else number


def _wanted(order: Order) -> Iterator[str]:
    """What to fill in for each figure of the order that is unknown."""
    for figure, cells in order.wants.items():
        yield f"{WANTED[figure]} unknown for want of {', '.join(cells)}."


def left_out(todo: Plan, shown: Shown) -> str:
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


def price_table(todo: Plan, shown: Shown) -> Table:
    """The price of nitrogen in each product."""
    headings = [
        Heading(text="Product", format="text", width=22),
        Heading(text=f"Price of N [{shown.label('price of mass')}]", format="two", width=14),
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
