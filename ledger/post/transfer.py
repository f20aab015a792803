"""Plain transfers: nitrogen a line names outright, or as nitrate in a depth of water."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger.factors import cell_factor
from ledger.formulas import water_nitrate
from ledger.ground import Share, covered_area
from ledger.model import Basis, Entry, Typed
from ledger.post.desk import Desk, account, field_account

Rule = Mapping[str, Any]
Amount = tuple[float, Basis]


def post_transfer(entry: Entry, parts: Sequence[Share], rule: Rule, desk: Desk) -> None:
    """Post an amount of a nutrient from its contra account to the zones; it may be negative.

    The amount is the line's own (column ``amount``) or what its water holds (columns ``ppm``
    and ``depth``). A line with neither is refused.
    """
    total, told = _total(entry, rule, covered_area(parts), desk)
    label = entry.text(rule["label"]) if "label" in rule else entry.row.grid.sheet_id
    for share in parts:
        flows = {
            account(rule["from"], label): -total,
            field_account(share.zone, "available"): total,
        }
        desk.move(entry, share, rule["nutrient"], flows, told, rule["stream"])


def _total(entry: Entry, rule: Rule, area: float, desk: Desk) -> Amount:
    """The mass of the whole line [kg]; an amount typed goes before the water's figures."""
    stated, water = _stated(entry, rule, area, desk), _in_water(entry, rule, area, desk)
    if stated is None and water is None:
        title = desk.definitions.sheets[entry.row.grid.sheet_id].by_id[rule["amount"]].title
        raise desk.refuse("credit-amount-missing", entry, rule["amount"], expected=title)
    if stated and water:
        unit = desk.definitions.shown_in[desk.book.system]["mass per area"]
        per_area = water[0] / area / desk.definitions.units[unit].factor
        read = f"{per_area:.4g} {unit}"
        desk.note("credit-stated-twice", entry, rule["amount"], read=read)
    found = stated or water
    assert found is not None  # one of the two, or the line was refused
    return found


def _stated(entry: Entry, rule: Rule, area: float, desk: Desk) -> Amount | None:
    amount = entry.number(rule["amount"])
    if amount is None:
        return None
    per_area = desk.definitions.units[entry.text("unit")].quantity.endswith("per area")
    unit = "kg/ha" if per_area else "kg"
    told = Typed("amount", unit, rule["amount"])
    return amount * (area if per_area else 1.0), (told,)


def _in_water(entry: Entry, rule: Rule, area: float, desk: Desk) -> Amount | None:
    """Nitrate-N in irrigation water: parts per million and depth of water over the area [ha]."""
    ppm = entry.number(rule["ppm"]) if "ppm" in rule else None
    depth = entry.number(rule["depth"]) if "depth" in rule else None
    if ppm is None or depth is None:
        return None
    depth_mm = depth / desk.definitions.units["mm"].factor
    told = (
        Typed("nitrate-N in water", "ppm", rule["ppm"]),
        cell_factor("depth of water", entry, rule["depth"], depth_mm, "mm"),
    )
    return water_nitrate(ppm, depth_mm) * area, told
