"""Explain a cell of the Cab sheet: what is to go on a zone, in pounds or in product."""

from __future__ import annotations

from ledger.explain.figure import Asked, explain_figure
from ledger.explain.live import LIVE, said_of, with_words
from ledger.explain.overview import OTHER
from ledger.explain.stored import Stored, column_of, row_of, stored_sheet
from ledger.explain.telling import Explanation
from ledger.layout import index_of, letter
from ledger.live.cab import BLOCK, NITROGEN, PRODUCT
from ledger.model import TO_GO, Definitions, Results
from ledger.model.ranges import Scope
from ledger.report.units import Shown


def explain_cab(
    results: Results, definitions: Definitions, sheet: str, cell: str, content: bytes
) -> Explanation | None:
    """A live cell by the zone of its line; None for what is no formula."""
    stored = stored_sheet(content, sheet)
    if not stored.is_formula(cell):
        return None
    name, place = _ground(stored, cell), index_of(column_of(cell)) % BLOCK
    scope = _scope(name, results)
    shown = Shown(definitions=definitions, system=results.book.system)
    if scope is None or place not in (NITROGEN, PRODUCT):
        value = said_of(stored.values.get(cell), "")
        return Explanation(where=f"{sheet}!{cell} ({name})", value=value, how=[OTHER])
    unit = shown.label("mass per area") if place == NITROGEN else ""
    words = [LIVE]
    if place == PRODUCT:
        words = ["Nitrogen still to go in the sidedress product of the Farm sheet.", LIVE]
    asked = Asked(scope=scope, nutrient="N", figure=TO_GO, per_area=True)
    value = said_of(stored.values.get(cell), unit)
    told = explain_figure(asked, f"{sheet}!{cell} ({name})", value, results, shown)
    return with_words(told, words)


def _ground(stored: Stored, cell: str) -> str:
    """The field and zone that head the block of a cell."""
    index = index_of(column_of(cell))
    return str(stored.values.get(f"{letter(index - index % BLOCK)}{row_of(cell)}") or "")


def _scope(name: str, results: Results) -> Scope | None:
    """The zone called so on the Cab sheet: its field alone where that has no others."""
    for field, zones in results.book.zones.items():
        for zone in zones:
            alone = len(zones) == 1 and name == field
            if alone or name == f"{field}, {zone.zone}":
                return (zone.field, zone.zone)
    return None
