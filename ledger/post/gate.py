"""The farm gate: weight times content of what is bought, sold or on hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.contents import bushel_mass, content_fraction
from ledger.ground import Share
from ledger.model import Basis, Entry, Figure, Goods, Nutrient, Typed
from ledger.post.desk import Desk, account, each_nutrient
from ledger.post.moves import WHOLE_FARM

SIGNS: Mapping[str, tuple[int, str]] = {
    "in": (-1, "in"),
    "out": (1, "out"),
    "on hand at start": (-1, "stock"),
    "on hand at end": (1, "stock"),
}
Found = tuple[float, Basis]  # mass of the nutrient as stated per mass


def post_gate(entry: Entry, parts: Sequence[Share], rule: Mapping[str, Any], desk: Desk) -> None:
    """Post one line between the gate and the herd, or the gate and the harvest kept.

    Stock at the start comes in from last year, stock at the end goes out to the next. A
    content that nobody tells leaves the nutrient unknown.
    """
    weight, told = _weight(entry, desk)
    sign, way = SIGNS[entry.text("direction")]
    item = entry.text("item")
    gate = account("gate", way, item)
    inside = account("harvest", "kept") if item == "crop" else account("herd", item)
    for nutrient, column, about in each_nutrient(desk, "harvest"):
        found = _typed(entry, column, about, desk) or _by_book(entry, about, desk)
        if found is None:
            name = entry.text("what") or item
            desk.note("goods-unknown", entry, column, read=name, nutrient=about.elemental_symbol)
            desk.gap([WHOLE_FARM], nutrient, entry, rule["stream"])
            continue
        mass = sign * weight * found[0]
        reasons = (*told, *found[1])
        desk.move(entry, WHOLE_FARM, nutrient, {gate: mass, inside: -mass}, reasons, rule["stream"])


def _weight(entry: Entry, desk: Desk) -> Found:
    amount = entry.number("amount") or 0.0
    if desk.definitions.units[entry.text("unit")].quantity == "mass":
        return amount, (Typed("amount", "kg", "amount"),)
    crop = desk.definitions.crops.get(entry.text("what"))
    bushel = bushel_mass(crop, desk.definitions) if crop else None
    if crop is None or crop.bushel_weight is None or bushel is None:
        name = entry.text("what") or entry.text("item")
        raise desk.refuse("yield-unit-needs-bushel", entry, "unit", read=name)
    weight = desk.published("bushel weight", crop.bushel_weight)
    return amount * bushel, (Typed("amount", "bu", "amount"), weight)


def _typed(entry: Entry, column: str, about: Nutrient, desk: Desk) -> Found | None:
    percent = entry.number(column)
    if percent is None:
        return None
    told = Typed(f"{about.elemental_symbol} content", "percent", column)
    return percent / 100 * about.elemental_factor, (told, *desk.as_stated(about))


def _by_book(entry: Entry, about: Nutrient, desk: Desk) -> Found | None:
    goods = desk.definitions.gate.goods.get(entry.text("what"))
    if goods is None:
        return _as_crop(entry, about.id, desk)
    figure = goods.contents.get(about.elemental_symbol)
    if figure is None:
        return None
    dry, reason = _dry_matter(entry, goods, desk)
    _tell_recalled(figure, entry, desk)
    content = desk.published(f"{about.elemental_symbol} content", figure)
    told = (content, *reason, *desk.as_stated(about))
    return figure.value / 100 * dry * about.elemental_factor, told


def _tell_recalled(figure: Figure, entry: Entry, desk: Desk) -> None:
    if figure.status == "memory":
        words = {"read": entry.text("what"), "expected": figure.source.title}
        desk.note("from-memory", entry, "what", **words)


def _dry_matter(entry: Entry, goods: Goods, desk: Desk) -> Found:
    """The share of dry matter; 1 for goods whose contents are stated on their weight."""
    if goods.dry_matter is None:
        return 1.0, ()
    typed = entry.number("dry_matter_pct")
    if typed is not None:
        return typed / 100, (Typed("dry matter", "percent", "dry_matter_pct"),)
    return goods.dry_matter.value / 100, (desk.published("dry matter", goods.dry_matter),)


def _as_crop(entry: Entry, nutrient: str, desk: Desk) -> Found | None:
    """A crop of the list: the removal figure of its main part, at that figure's moisture."""
    crop = desk.definitions.crops.get(entry.text("what"))
    if crop is None:
        return None
    book = desk.removal_set.figures.get((crop.removal_as, crop.main_part, nutrient))
    if book is None:
        return None
    figure: Figure = book.figure
    fraction = content_fraction(figure, crop, desk.definitions)
    return fraction, (desk.published(f"{nutrient} content", figure),)
