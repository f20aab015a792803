"""Fertilizer: amount times density times grade, out of the dealer's account."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ledger.formulas import nutrient_in
from ledger.ground import covered_area, shares
from ledger.model import Entry
from ledger.post.amounts import in_base, total_amount
from ledger.post.desk import Desk, account, each_nutrient, field_account, material


def post_product(entry: Entry, rule: Mapping[str, Any], desk: Desk) -> None:
    """Post one fertilizer line; a nutrient whose grade is blank is unknown, zero is zero."""
    name = entry.text(rule["material"])
    product = material(entry, "products", rule["material"], desk)
    parts = shares(entry, desk.book)
    amount, base, factors = total_amount(entry, product, covered_area(parts), desk)
    mass, density = in_base(amount, base, "kg", entry, product, name, desk)
    for nutrient, column, _ in each_nutrient(desk, "product"):
        percent = product.number(column)
        if percent is None:
            desk.note("analysis-missing", product, column, name=name, nutrient=nutrient)
            desk.gap(parts, nutrient, entry, rule["stream"])
            continue
        total = nutrient_in(mass, percent / 100)
        grade = desk.told(f"{nutrient} grade", product, column, percent, "percent")
        for share in parts:
            flows = {
                account(rule["from"], name): -total,
                field_account(share.zone, "available"): total,
            }
            shared = (*density, grade)
            desk.move(entry, share, nutrient, flows, factors, rule["stream"], shared)
