"""The result as one JSON document, in the ledger's own units, unrounded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger import __version__
from ledger.model import FIGURES, Definitions, Factor, Finding, Posting, Results, Statement, Total
from ledger.report.gate_item import gate_item
from ledger.report.plan import order_item, plan_items
from ledger.report.ranges import range_items, range_totals
from ledger.report.stores import store_items
from ledger.report.strips import strips_items
from ledger.report.units import Shown
from ledger.report.years_item import years_item


def document(results: Results, definitions: Definitions) -> dict[str, Any]:
    """The document that passes ``templates/meta/result.schema.json``.

    Zone figures are per area; keys that end in ``_total`` are whole amounts; null is unknown.
    """
    shown = Shown(definitions=definitions, system=results.book.system)
    return {
        "ledger": _head(results, definitions),
        "findings": [finding_item(found) for found in results.findings],
        "zones": [_zone(statement, shown) for statement in results.statements],
        "fields": [_total(total, shown, "field") for total in results.fields],
        "farm": _total(results.farm, shown, "farm"),
        "custom": _total(results.custom, shown, "name"),
        "plan": plan_items(results.plan, shown),
        "order": order_item(results.plan, shown),
        "stores": store_items(results, shown),
        "gate": gate_item(results, shown),
        "years": years_item(results.years, shown),
        "strips": strips_items(results.trials),
        "ranges": range_items(results.ranges.zones, shown),
        "range_totals": range_totals(results, shown),
        "postings": [_posting(posting, shown) for posting in results.journal.postings],
    }


def _head(results: Results, definitions: Definitions) -> dict[str, Any]:
    farm = results.book.farm
    return {
        "farm": farm.text("farm_name"),
        "year": results.book.year,
        "units": results.book.system,
        "template_version": definitions.version,
        "tool_version": __version__,
        "manure_set": farm.text("manure_set"),
        "removal_set": farm.text("removal_set"),
    }


def finding_item(found: Finding) -> dict[str, str]:
    """One finding as the document holds it."""
    return {
        "code": found.code,
        "severity": found.severity,
        "sheet": found.sheet,
        "cell": found.cell,
        "message": found.message,
        "fix": found.fix,
    }


def _zone(statement: Statement, shown: Shown) -> dict[str, Any]:
    return {
        "field": statement.zone.field,
        "zone": statement.zone.zone,
        "area": shown.value("area", statement.zone.area),
        "crop": statement.crop or None,
        "custom": statement.zone.custom,
        "incomplete": statement.incomplete,
        "nutrients": {
            nutrient: _converted(figures, shown, "mass per area", "")
            for nutrient, figures in statement.figures.items()
        },
    }


def _total(total: Total, shown: Shown, name: str) -> dict[str, Any]:
    return {
        name: total.name,
        "area": shown.value("area", total.area),
        "incomplete": total.incomplete,
        "nutrients": {
            nutrient: _converted(figures, shown, "mass", "_total")
            for nutrient, figures in total.figures.items()
        },
    }


def _converted(
    figures: Mapping[str, float | None], shown: Shown, quantity: str, ending: str
) -> dict[str, float | None]:
    return {figure + ending: shown.value(quantity, figures[figure]) for figure in FIGURES}


def _posting(posting: Posting, shown: Shown) -> dict[str, Any]:
    row = posting.entry.row
    return {
        "date": posting.date.isoformat() if posting.date else None,
        "account": str(posting.account),
        "field": posting.zone.field,
        "zone": posting.zone.zone,
        "nutrient": posting.nutrient,
        "stream": posting.stream,
        "mass": shown.value("mass", posting.mass),
        "sheet": row.grid.sheet_name,
        "row": row.number,
        "factors": [_factor(factor, shown) for factor in posting.factors],
    }


def _factor(factor: Factor, shown: Shown) -> dict[str, Any]:
    value, unit = shown.factor(factor)
    return {"name": factor.name, "value": value, "unit": unit, "origin": factor.origin}
