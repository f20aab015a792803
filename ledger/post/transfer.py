"""Plain transfers: an amount of one nutrient that a line names outright."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.ground import covered_area, shares
from ledger.model import Account, Entry
from ledger.post.desk import Desk, cell_factor, field_account


def post_transfer(entry: Entry, rule: Mapping[str, Any], desk: Desk) -> None:
    """Post an amount of a nutrient from its contra account to the zones; it may be negative."""
    parts = shares(entry, desk.book)
    amount = entry.number(rule["amount"]) or 0.0
    quantity = desk.definitions.units[entry.text("unit")].quantity
    per_area = quantity.endswith("per area")
    total = amount * (covered_area(parts) if per_area else 1.0)
    unit = "kg/ha" if per_area else "kg"
    factor = cell_factor("amount", entry, rule["amount"], amount, unit)
    label = entry.text(rule["label"]) if "label" in rule else entry.row.grid.sheet_id
    for share in parts:
        flows = {
            Account(rule["from"], (label,)): -total,
            field_account(share.zone, "available"): total,
        }
        desk.move(entry, share, rule["nutrient"], flows, (factor,), rule["stream"])
