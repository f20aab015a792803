"""Plan: nitrogen still to go by zone, in product, loads, dollars, and whether the rig can.

A stage: ``plan(book, statements, needs, journal, planned, definitions) -> (Plan, findings)``.
A zone that has more than it needs is shown as over and never offsets another zone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ledger import findings
from ledger.formulas import price_per_nutrient
from ledger.ground import crop_entry
from ledger.model import (
    Book,
    Definitions,
    Finding,
    Journal,
    Need,
    NitrogenPrice,
    Plan,
    PlanLine,
    RigCheck,
    Statement,
)
from ledger.plan.order import known_to_go, order_of, rate_for, smallest_pass, with_ends
from ledger.plan.planned import planned_over
from ledger.plan.product import Filling, filling
from ledger.plan.reasons import reasons
from ledger.plan.remarks import remark
from ledger.plan.rig import Rig, rig_check, rig_of
from ledger.plan.supplies import Lines, nitrogen_lines, planned_supply, supplies_by_pass

__all__ = ["plan", "with_ends"]

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
        least=smallest_pass(book),
        definitions=definitions,
    )
    lines = [_line(s, desk) for s in statements if crop_entry(book, s.zone)]
    order = order_of(book, lines, tank, definitions) if tank else None
    prices = _prices(book)
    return (
        Plan(lines=lines, order=order, prices=prices, missing=missing),
        [
            *_remarks(book, lines, tank, definitions),
            *planned_over(book, lines, desk.coming, definitions),
        ],
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
    rate = rate_for(known_to_go(statement), tank, desk.least)
    total = None if rate is None else rate * zone.area
    rig = rig_check(desk.rig, rate, tank) if desk.rig and tank and rate else None
    crop = desk.definitions.crops.get(statement.crop)
    planned = planned_supply(zone, desk.coming)
    supplies = desk.supplied.by_supply(zone)
    return PlanLine(
        statement=statement,
        method=need.method if need else "",
        supplies=supplies_by_pass(statement, supplies),
        planned=planned,
        product=tank.product if tank else "",
        by_volume=tank.by_volume if tank else True,
        rate=rate,
        total=total,
        loads=tank.loads(total) if tank and total is not None else None,
        cost=tank.cost(total) if tank and total is not None else None,
        rig=rig,
        remark=remark(statement, need, desk.supplied, crop, rig, planned, desk.least),
        reasons=reasons(zone, need, supplies, desk.coming),
    )


def _prices(book: Book) -> list[NitrogenPrice]:
    """Every product on the sheet that has nitrogen and a price, cheapest nitrogen first."""
    found = []
    for entry in book.entries.get("products", ()):
        percent, stated = entry.number("n_pct"), entry.number("price")
        if entry.faulty or not percent or stated is None:
            continue
        price = _price_of_mass(stated, entry.text("price_per"), entry.number("density"))
        per_n = None if price is None else price_per_nutrient(price, percent / 100)
        found.append(NitrogenPrice(product=entry.text("product"), price=per_n))
    return sorted(found, key=lambda item: (item.price is None, item.price or 0.0, item.product))


def _price_of_mass(price: float, per: str, density: float | None) -> float | None:
    """A price as money per mass [$/kg]; by volume it takes the density, unknown without one."""
    if per not in ("gal", "L"):
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
