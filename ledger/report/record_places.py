"""Where in the annual report each record item of ``templates/records.json`` stands."""

from __future__ import annotations

from collections.abc import Mapping

from ledger.model import RecordItem, RecordPlace

NOT_COVERED = "not covered"
FRONT, FIELDS, APPLIED = "Annual report", "Fields and crops", "Applications"
BALANCE, MANURE, CUSTOM = "Field balance", "Manure", "Custom work"

# The sheet of the report that shows the lines of an entry sheet.
BY_SHEET: Mapping[str, str] = {
    "farm": FRONT,
    "people": FIELDS,
    "fields": FIELDS,
    "crops": FIELDS,
    "soil_tests": FIELDS,
    "harvest": FIELDS,
    "manure_lots": MANURE,
    "manure_samples": MANURE,
    "manure_spread": APPLIED,
    "fertilizer": APPLIED,
    "store_moves": MANURE,
}
BY_COLUMN: Mapping[tuple[str, str], str] = {("farm", "n_method"): FIELDS}
# What the ledger works out itself.
BY_ITEM: Mapping[str, str] = {
    "area-used": FRONT,
    "year-of-nutrients": f"{MANURE}; {APPLIED}",
    "application-area": APPLIED,
    "nutrients-planned": FIELDS,
    "nutrients-applied": f"{APPLIED}; {BALANCE}",
    "crop-nitrogen": f"{FIELDS}; {BALANCE}",
    "crop-phosphorus": f"{FIELDS}; {BALANCE}",
    "for-hire": CUSTOM,
}


def place_of(place: RecordPlace) -> str:
    """The sheet of the report that a column is shown on, or that it is in the workbook alone."""
    by_column = BY_COLUMN.get((place.sheet, place.column))
    return by_column or BY_SHEET.get(place.sheet, "")


def places_of(item: RecordItem) -> str:
    """The sheets of the report that show an item, or that it is not covered."""
    if item.kept == NOT_COVERED:
        return NOT_COVERED
    if item.id in BY_ITEM:
        return BY_ITEM[item.id]
    found = dict.fromkeys(place for place in map(place_of, item.places) if place)
    return "; ".join(found) or "in the workbook, not in the report"
