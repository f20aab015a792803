"""Fertilizer: amount times density times grade, out of the dealer's account."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ledger.formulas import nutrient_in
from ledger.ground import Share, covered_area
from ledger.model import Basis, Entry
from ledger.post.amounts import in_base, measure_of
from ledger.post.desk import Desk, account, each_nutrient, material
from ledger.post.recipe import Lack, Way, follow, recipe_of


def post_product(entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk) -> None:
    """Post one fertilizer line; a nutrient whose grade is blank is unknown, zero is zero."""
    name = entry.text(rule["material"])
    product = material(entry, "products", rule["material"], desk)
    area = covered_area(parts)
    measure = measure_of(entry, product, desk)
    amount = measure.total(entry, area)
    mass, density = in_base(amount, measure.base, "kg", entry, product, name, desk)
    key = (id(measure), len(parts))
    if key not in desk.recipes:
        told = (*measure.told, *density)
        found = _ways(name, product, told, rule, desk)
        desk.recipes[key] = recipe_of(found, len(parts), rule["stream"], desk)
    follow(desk.recipes[key], entry, parts, mass, area, desk)


def _ways(
    name: str, product: Entry, told: Basis, rule: Mapping[str, Any], desk: Desk
) -> Iterator[Way | Lack]:
    """Every nutrient by its grade, all of it to what the crop can use."""
    for nutrient, column, _ in each_nutrient(desk, "product"):
        percent = product.number(column)
        if percent is None:
            desk.note("analysis-missing", product, column, name=name, nutrient=nutrient)
            yield Lack(nutrient, (rule["stream"],))
            continue
        basis = (*told, desk.told(f"{nutrient} grade", product, column, percent, "percent"))
        yield Way(
            nutrient=nutrient,
            content=nutrient_in(1.0, percent / 100),
            source=account(rule["from"], name),
            into={"available": 1.0},
            held=basis,
            divided=basis,
        )
