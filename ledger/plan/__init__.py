"""Plan: nitrogen still to go by zone, in product, loads, dollars, and whether the rig can.

A stage: ``plan(book, statements, needs, journal, planned, definitions) -> (Plan, findings)``.
A zone that has more than it needs is shown as over and never offsets another zone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from ledger import findings
from ledger.formulas import field_capacity, loads_needed, order_quantity, price_per_nutrient
from ledger.ground import crop_entry
from ledger.model import (
    Book,
    Definitions,
    Finding,
    Journal,
    Need,
    NitrogenPrice,
    Order,
    Plan,
    PlanLine,
    RigCheck,
    Statement,
)
from ledger.plan.product import Filling, filling
from ledger.plan.remarks import remark
from ledger.plan.rig import Rig, rig_check, rig_of
from ledger.plan.supplies import (
    Lines,
    nitrogen_lines,
    planned_supply,
    reasons,
    supplies_by_pass,
)
from ledger.plan.wants import WORK, wants_of

__all__ = ["plan"]

Needs = Mapping[tuple[str, str], Need]


def plan(
    book: Book,
    statements: Sequence[Statement],
    needs: Needs,
    journal: Journal,
    planned: Journal,
    definitions: Definitions,
) -> tuple[Plan, list[Finding]]:
    """The plan for every zone that has a crop; custom ground is planned like one's own."""
    tank = filling(book)
    rig, missing = rig_of(book, definitions)
    desk = _Desk(
        needs=needs,
        supplied=nitrogen_lines(journal),
        coming=nitrogen_lines(planned),
        tank=tank,
        rig=rig,
        least=book.farm.number("smallest_pass") or 0.0,
        definitions=definitions,
    )
    lines = [_line(s, desk) for s in statements if crop_entry(book, s.zone)]
    order = _order(book, lines, tank, definitions) if tank else None
    prices = _prices(book)
    return (
        Plan(lines=lines, order=order, prices=prices, missing=missing),
        _remarks(book, lines, tank, definitions),
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Desk:
    """What every zone's line is made with; ``least`` is the smallest pass worth making [kg/ha]."""

    needs: Needs
    supplied: Lines
    coming: Lines
    tank: Filling | None
    rig: Rig | None
    least: float
    definitions: Definitions


def _line(statement: Statement, desk: _Desk) -> PlanLine:
    zone, tank = statement.zone, desk.tank
    need = desk.needs.get((zone.field, zone.zone))
    wanted = _worth_a_pass(statement.figures["N"]["to_go"], desk.least)
    rate = tank.rate(wanted) if tank and wanted is not None else None
    total = None if rate is None else rate * zone.area
    rig = rig_check(desk.rig, rate, tank) if desk.rig and tank and rate else None
    crop = desk.definitions.crops.get(statement.crop)
    return PlanLine(
        statement=statement,
        method=need.method if need else "",
        supplies=supplies_by_pass(statement, desk.supplied),
        planned=planned_supply(zone, desk.coming),
        product=tank.product if tank else "",
        by_volume=tank.by_volume if tank else True,
        rate=rate,
        total=total,
        loads=tank.loads(total) if tank and total is not None else None,
        cost=tank.cost(total) if tank and total is not None else None,
        rig=rig,
        remark=remark(statement, need, desk.supplied, crop, rig, desk.least),
        reasons=reasons(zone, need, desk.supplied, desk.coming),
    )


def _worth_a_pass(to_go: float | None, least: float) -> float | None:
    """The nitrogen to plan for [kg/ha]: none where a zone is over or wants too little."""
    if to_go is None:
        return None
    return to_go if to_go > 0 and to_go >= least else 0.0


def _order(book: Book, lines: Sequence[PlanLine], tank: Filling, definitions: Definitions) -> Order:
    totals = [line.total for line in lines if line.statement.figures["N"]["to_go"] is not None]
    needed = fsum(total for total in totals if total is not None)
    allowance = (book.farm.number("order_allowance_pct") or 0.0) / 100
    wanted = order_quantity(needed, allowance)
    delivery = book.farm.number("delivery_size")
    loads = tank.loads(needed)
    return Order(
        product=tank.product,
        by_volume=tank.by_volume,
        needed=needed,
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


def _prices(book: Book) -> list[NitrogenPrice]:
    """Every product on the sheet that has nitrogen and a price, cheapest nitrogen first."""
    found = []
    for entry in book.entries.get("products", ()):
        percent = entry.number("n_pct")
        price = _price_of_mass(
            entry.number("price"), entry.text("price_per"), entry.number("density")
        )
        if not entry.faulty and percent and price is not None:
            per_n = price_per_nutrient(price, percent / 100)
            found.append(NitrogenPrice(product=entry.text("product"), price=per_n))
    return sorted(found, key=lambda item: (item.price, item.product))


def _price_of_mass(price: float | None, per: str, density: float | None) -> float | None:
    """A price as money per mass [$/kg]; by volume it takes the density."""
    if price is None or per not in ("gal", "L"):
        return price
    return price / density if density else None


def _remarks(
    book: Book, lines: Sequence[PlanLine], tank: Filling | None, definitions: Definitions
) -> list[Finding]:
    row = book.farm.row
    found = []
    wanted = any((line.statement.figures["N"]["to_go"] or 0) > 0 for line in lines)
    if tank is None and wanted:
        found.append(
            findings.finding(definitions, "no-sidedress-product", row, "sidedress_product")
        )
    squeezed = [line for line in lines if line.rig and _squeezed(line.rig)]
    for line in squeezed:
        crop = crop_entry(book, line.statement.zone)
        assert crop is not None
        zone = line.statement.zone
        words = {"read": f"{zone.field}, {zone.zone}"}
        found.append(findings.finding(definitions, "rig-out-of-range", crop.row, "field", **words))
    return found


def _squeezed(rig: RigCheck) -> bool:
    """True when the planned speed, or every speed, is beyond the pressure limits."""
    return rig.pressure_ok is False or rig.speed_fits is False
