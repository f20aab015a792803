"""The ``years`` of the JSON document."""

from __future__ import annotations

from typing import Any

from ledger.model import Expectation, LotYears, Years, ZoneYears
from ledger.report.units import Shown


def years_item(together: Years, shown: Shown) -> dict[str, Any]:
    """The ``years`` of the result document; nothing in it without other years."""
    return {
        "years": list(together.years),
        "zones": [_zone_item(zone, shown) for zone in together.zones],
        "lots": [_lot_item(one, shown) for one in together.lots],
    }


def _zone_item(zone: ZoneYears, shown: Shown) -> dict[str, Any]:
    def per_area(masses: Any) -> dict[str, float | None]:
        return {n: shown.value("mass per area", mass) for n, mass in masses.items()}

    return {
        "field": zone.field,
        "zone": zone.zone,
        "area": shown.value("area", zone.area),
        "years": [
            {
                "year": year.year,
                "crop": year.crop or None,
                "incomplete": year.incomplete,
                "standing": year.standing,
                "balance": per_area(year.balance),
                "running": per_area(year.running),
                "removal": per_area(year.removal),
            }
            for year in zone.years
        ],
        "soil_tests": [
            {"date": p.day.isoformat(), "test": p.test, "method": p.method, "ppm": p.ppm}
            for p in zone.tests
        ],
        "p_supply_years": zone.banked,
        "expected_change": {
            n: [_rule_item(r) for r in rules] for n, rules in zone.expected.items()
        },
    }


def _rule_item(rule: Expectation) -> dict[str, Any]:
    return {
        "rule": f"{rule.figure.value:g} {rule.figure.unit}, {rule.figure.citation()}",
        "low": rule.low,
        "value": rule.value,
        "high": rule.high,
        "unit": "ppm",
    }


def _lot_item(one: LotYears, shown: Shown) -> dict[str, Any]:
    masses = {part: getattr(one, part) for part in ("total", "used", "left", "air", "undivided")}
    kept = {f"{part}_total": shown.value("mass", mass) for part, mass in masses.items()}
    return {"year": one.year, "lot": one.lot, **kept}
