"""The order: product for all zones together, and what it is with ranged figures at their ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import fsum

from ledger.formulas import field_capacity, loads_needed, order_quantity
from ledger.model import Book, Definitions, Order, Plan, PlanEnd, PlanLine, Statement
from ledger.model.ranges import Ranges, Span
from ledger.plan.product import Filling, filling
from ledger.plan.wants import WORK, wants_of


def smallest_pass(book: Book) -> float:
    """The least nitrogen that is worth a pass [kg/ha]."""
    return book.farm.number("smallest_pass") or 0.0


def known_to_go(statement: Statement) -> float | None:
    """Nitrogen to plan product for [kg/ha]; unknown where a line with an error is missing.

    The figure without that line would send out too much.
    """
    return None if statement.incomplete else statement.figures["N"]["to_go"]


def rate_for(to_go: float | None, tank: Filling | None, least: float) -> float | None:
    """Product per area for what is to go [kg/ha]: L/ha, or kg/ha for what goes by weight."""
    wanted = _worth_a_pass(to_go, least)
    return tank.rate(wanted) if tank and wanted is not None else None


def _worth_a_pass(to_go: float | None, least: float) -> float | None:
    """The nitrogen to plan for [kg/ha]: none where a zone is over or wants too little."""
    if to_go is None:
        return None
    return to_go if to_go > 0 and to_go >= least else 0.0


def order_of(
    book: Book, lines: Sequence[PlanLine], tank: Filling, definitions: Definitions
) -> Order:
    """What zones with a known rate want together; the others are told of beside it."""
    totals = [(line.statement.zone, line.total) for line in lines if line.total is not None]
    needed = fsum(total for _, total in totals)
    allowance = (book.farm.number("order_allowance_pct") or 0.0) / 100
    wanted = order_quantity(needed, allowance)
    delivery = book.farm.number("delivery_size")
    loads = tank.loads(needed)
    return Order(
        product=tank.product,
        by_volume=tank.by_volume,
        needed=needed,
        custom=fsum(total for zone, total in totals if zone.custom),
        with_allowance=wanted,
        loads=loads,
        deliveries=loads_needed(wanted, delivery) if delivery and tank.by_volume else None,
        cost=tank.cost(wanted),
        hours=_hours(book, lines, loads, tank),
        wants=wants_of(book, tank, definitions),
    )


def _hours(book: Book, lines: Sequence[PlanLine], loads: int | None, tank: Filling) -> float | None:
    """Field time by speed, width and efficiency, and filling time where it is given [h].

    Unknown where filling is to be counted by the load and the loads of a liquid are unknown.
    """
    speed, spacing, outlets, efficiency = (book.farm.number(column) or 0.0 for column in WORK)
    minutes = book.farm.number("refill_minutes") or 0.0
    if not (speed and spacing and outlets and efficiency) or (
        minutes and loads is None and tank.liquid
    ):
        return None
    area = fsum(line.statement.zone.area for line in lines if line.rate)
    capacity = field_capacity(speed, width=spacing * outlets, efficiency=efficiency / 100)
    return area / capacity + minutes / 60 * (loads or 0)


# ------------------------------------------------------------------------- ends
def with_ends(todo: Plan, ranges: Ranges, book: Book, definitions: Definitions) -> Plan:
    """The plan with its rates and order at the low and the high end of what is to go.

    Every zone at its low end gives the smallest order, every one at its high end the largest.
    """
    tank = filling(book)
    if tank is None or not any(_span(line, ranges) for line in todo.lines):
        return todo  # nothing moves
    ends: dict[str, PlanEnd] = {}
    for end in ("low", "high"):
        lines = [_at_end(line, end, ranges, tank, smallest_pass(book)) for line in todo.lines]
        zones = (line.statement.zone for line in lines)
        rates = {(z.field, z.zone): x.rate for z, x in zip(zones, lines, strict=True)}
        ends[end] = PlanEnd(rates=rates, order=order_of(book, lines, tank, definitions))
    return todo if ends["low"].rates == ends["high"].rates else replace(todo, ends=ends)


def _span(line: PlanLine, ranges: Ranges) -> Span | None:
    zone = line.statement.zone
    return ranges.of((zone.field, zone.zone), "N", "to_go")


def _at_end(line: PlanLine, end: str, ranges: Ranges, tank: Filling, least: float) -> PlanLine:
    span = _span(line, ranges)
    if span is None or known_to_go(line.statement) is None:
        return line
    rate = rate_for(span.low if end == "low" else span.high, tank, least)
    total = None if rate is None else rate * line.statement.zone.area
    return replace(line, rate=rate, total=total)
