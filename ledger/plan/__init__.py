"""Plan: nitrogen still to go by zone, in product, loads, dollars, and whether the rig can.

A stage: ``plan(book, statements, needs, journal, planned, definitions) -> (Plan, findings)``.
A zone that has more than it needs is shown as over and never offsets another zone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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
    Statement,
    Zone,
)
from ledger.plan.product import Filling, filling
from ledger.plan.rig import Rig, rig_check, rig_of

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
    coming = _nitrogen_by_zone(planned)
    least = book.farm.number("smallest_pass") or 0.0
    lines = [
        _line(statement, needs, journal, coming, tank, rig, least)
        for statement in statements
        if crop_entry(book, statement.zone)
    ]
    order = _order(book, lines, tank, rig) if tank else None
    prices = _prices(book)
    return (
        Plan(lines=lines, order=order, prices=prices, missing=missing),
        _remarks(book, lines, tank, definitions),
    )


def _nitrogen_by_zone(planned: Journal) -> dict[Zone, float | None]:
    """What planned lines would give each zone the crop can use [kg/ha]; None unknown."""
    masses: dict[Zone, list[float]] = {}
    for posting in planned.postings:
        into = posting.account.root == "field" and posting.account.path[-1] == "available"
        if posting.nutrient == "N" and into and posting.stream != "removal":
            masses.setdefault(posting.zone, []).append(posting.mass)
    found: dict[Zone, float | None] = {z: fsum(m) / z.area for z, m in masses.items()}
    for gap in planned.gaps:
        if gap.nutrient == "N" and gap.figures != ("removal",):
            found[gap.zone] = None
    return found


def _line(
    statement: Statement,
    needs: Needs,
    journal: Journal,
    coming: Mapping[Zone, float | None],
    tank: Filling | None,
    rig: Rig | None,
    least: float,
) -> PlanLine:
    zone = statement.zone
    need = needs.get((zone.field, zone.zone))
    to_go = statement.figures["N"]["to_go"]
    wanted = None if to_go is None else to_go if to_go > 0 and to_go >= least else 0.0
    rate = tank.rate(wanted) if tank and wanted is not None else None
    total = None if rate is None else rate * zone.area
    by_volume = tank.by_volume if tank else True
    return PlanLine(
        statement=statement,
        method=need.method if need else "",
        supplies=supplies_by_pass(statement, journal),
        planned=coming.get(zone, 0.0),
        product=tank.product if tank else "",
        by_volume=by_volume,
        rate=rate,
        total=total,
        loads=tank.loads(total) if tank and total is not None else None,
        cost=tank.cost(total) if tank and total is not None else None,
        rig=rig_check(rig, rate, tank) if rig and tank and rate and by_volume else None,
        remark=_remark(statement, to_go, least),
    )


def _remark(statement: Statement, to_go: float | None, least: float) -> str:
    if statement.incomplete:
        return "incomplete: a line with an error is missing"
    if to_go is None:
        return "unknown: see Findings for what is missing"
    if to_go < 0:
        return "over: nothing more to put on"
    return "too little for a pass" if 0 < to_go < least else ""


def supplies_by_pass(statement: Statement, journal: Journal) -> dict[str, float | None]:
    """Nitrogen supply of a zone by source and fertilizer pass [kg/ha]; None unknown."""
    figures = statement.figures["N"]
    zone = statement.zone
    by_pass: dict[str, list[float]] = {}
    for posting in journal.postings:
        nitrogen = posting.stream == "fertilizer" and posting.nutrient == "N"
        if nitrogen and posting.zone == zone and posting.account.root == "field":
            name = posting.entry.text("pass") or "other"
            by_pass.setdefault(name, []).append(posting.mass)
    unknown = figures["fertilizer"] is None
    passes: dict[str, float | None] = {
        name: None if unknown else fsum(masses) / zone.area for name, masses in by_pass.items()
    }
    if unknown and not passes:
        passes["other"] = None
    return {
        "earlier manure": figures["residual"],
        "other credits": figures["credits"],
        "manure": figures["manure_credit"],
        **passes,
    }


def _order(book: Book, lines: Sequence[PlanLine], tank: Filling, rig: Rig | None) -> Order:
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
        hours=_hours(book, lines, rig, loads),
    )


def _hours(
    book: Book, lines: Sequence[PlanLine], rig: Rig | None, loads: int | None
) -> float | None:
    """Field time by speed, width and efficiency, and filling time where it is given [h]."""
    efficiency = book.farm.number("field_efficiency_pct")
    if rig is None or rig.speed is None or rig.outlets is None or not efficiency:
        return None
    width = rig.width * rig.outlets
    area = fsum(line.statement.zone.area for line in lines if line.rate)
    capacity = field_capacity(rig.speed, width=width, efficiency=efficiency / 100)
    refill = (book.farm.number("refill_minutes") or 0.0) / 60 * (loads or 0)
    return area / capacity + refill


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
    squeezed = [line for line in lines if line.rig and line.rig.pressure_ok is False]
    for line in squeezed:
        crop = crop_entry(book, line.statement.zone)
        assert crop is not None
        zone = line.statement.zone
        words = {"read": f"{zone.field}, {zone.zone}"}
        found.append(findings.finding(definitions, "rig-out-of-range", crop.row, "field", **words))
    return found
