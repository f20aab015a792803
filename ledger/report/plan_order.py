"""The order in the plan: product, loads and cost by zone and in all, and what nitrogen costs."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.model import Order, Plan, PlanLine
from ledger.model.ranges import Ranges
from ledger.reach import any_ranged
from ledger.report.links import zone_jump
from ledger.report.spans import rough, told, with_ranges
from ledger.report.tables import UNKNOWN, Cell, Heading, Line, Table
from ledger.report.units import Shown

ENDS = ("low", "high")
DECIMALS = {"whole": 0, "one": 1, "money": 2}  # of a range in the format of its figure
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
    """Product, loads and cost of every zone that still wants some, or does at one end."""
    by_volume = todo.order.by_volume if todo.order else True
    rate = Heading(
        text=f"Rate [{shown.label(rate_quantity(by_volume))}]", about=(("figure", "rate"),)
    )
    headings = [
        *WHERE,
        Heading(text="Product", format="text", width=11),
        *with_ranges([rate], frozenset({"rate"} if todo.ends else ())),
        Heading(text=f"Total [{shown.label(total_quantity(by_volume))}]", format="whole"),
        Heading(text="Tank loads", format="whole", width=8),
        Heading(text=f"Cost per {shown.label('area')} [$]", format="money"),
        Heading(text="Cost [$]", format="money"),
    ]
    lines = [_product_line(x, todo, ranges, shown) for x in todo.lines if _may_want(x, todo)]
    note = "" if todo.order or not lines else NO_PRODUCT
    return Table(title="Product to put on", headings=headings, lines=lines, note=note)


def _product_line(line: PlanLine, todo: Plan, ranges: Ranges, shown: Shown) -> Line:
    beside = [_rate_range(line, todo, shown)] if todo.ends else []
    if line.statement.incomplete:  # a rate to drive by would be wrong
        blanks = [""] * (4 + len(beside))
        return Line(cells=[*where(line), line.product, "incomplete", *blanks])
    rate = shown.value(rate_quantity(line.by_volume), line.rate)
    figures = (
        shown.value(total_quantity(line.by_volume), line.total),
        line.loads,
        _cost_per_area(line, shown),
        line.cost,
    )
    when = rough_line(line, ranges)
    first = [rate, *beside] if todo.ends else [rough(rate, when)]
    return Line(cells=[*where(line), line.product, *first, *(rough(x, when) for x in figures)])


def _may_want(line: PlanLine, todo: Plan) -> bool:
    """Whether a zone has a rate, or an unknown one, as it is used or at an end of its range."""
    zone = (line.statement.zone.field, line.statement.zone.zone)
    return line.rate != 0 or any(end.rates[zone] for end in todo.ends.values())


def _rate_range(line: PlanLine, todo: Plan, shown: Shown) -> str:
    zone = (line.statement.zone.field, line.statement.zone.zone)
    low, high = (todo.ends[end].rates[zone] for end in ENDS)
    quantity = rate_quantity(line.by_volume)
    return _range(shown.value(quantity, low), shown.value(quantity, high))


def _range(low: Cell, high: Cell, decimals: int | None = None) -> str:
    """Low to high; blank where they are one, or not known."""
    if not isinstance(low, int | float) or not isinstance(high, int | float) or low == high:
        return ""
    return told(low, high, decimals)


def _cost_per_area(line: PlanLine, shown: Shown) -> float | None:
    area = shown.value("area", line.statement.zone.area)
    return None if line.cost is None or not area else line.cost / area


def order_table(todo: Plan, shown: Shown) -> Table:
    """What to order for all zones together, each figure with its range beside it."""
    order = todo.order
    assert order is not None
    orders = (order, *(todo.ends[end].order for end in ENDS if todo.ends))
    hired = any(one.custom for one in orders)
    rows = [_order_cells(one, hired, shown) for one in orders]
    headings = [Heading(text=order.product, format="text", width=22), Heading(text="", width=14)]
    if todo.ends:
        beside = (("range", "beside"),)
        headings.append(Heading(text="Range", format="range", width=14, about=beside))
    lines = []
    for (words, value, format_), *ends in zip(*rows, strict=True):
        cells = [words, value]
        if todo.ends:
            low, high = (end[1] for end in ends)
            cells.append(_range(low, high, DECIMALS[format_]))
        unit = words.partition(" [")[2].removesuffix("]")
        lines.append(Line(cells=cells, format=format_, about=(("unit", unit),)))
    note = " ".join(filter(None, (left_out(todo, shown), *_wanted(order))))
    return Table(title="Order", headings=headings, lines=lines, note=note)


def _order_cells(order: Order, hired: bool, shown: Shown) -> list[tuple[str, Cell, str]]:
    """The words, the figure and its format of every line of the order.

    ``hired`` says that some of it is for custom ground, which is then told.
    """
    unit = total_quantity(order.by_volume)
    label = shown.label(unit)
    custom = (f"Of that for custom ground [{label}]", shown.value(unit, order.custom), "whole")
    return [
        (f"Needed in all [{label}]", shown.value(unit, order.needed), "whole"),
        *([custom] if hired else []),
        (f"With the allowance [{label}]", shown.value(unit, order.with_allowance), "whole"),
        ("Tank loads", _count(order.loads, "loads", order), "whole"),
        ("Deliveries", _count(order.deliveries, "deliveries", order), "whole"),
        ("Cost with allowance [$]", order.cost, "money"),
        ("Hours of work", order.hours, "one"),
    ]


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
    if any(item.price is None for item in todo.prices):
        note += f" {UNKNOWN.capitalize()}: priced by volume, and Products has no density of it."
    return Table(title="What nitrogen costs", headings=headings, lines=lines, note=note)
