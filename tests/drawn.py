"""Farms drawn by hypothesis in base units (ha, kg, L), and how a person would type them."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import strategies as st
from workbooks import SHIPPED, Entries

from ledger.model import System

Farm = dict[str, list[dict[str, Any]]]
FIELDS = ("Home", "Long Bottom", "Creek")
FORMS = {"hog liquid": "liquid", "beef solid": "solid"}


# ------------------------------------------------------------------------ drawn farms
def amounts(low: float, high: float) -> st.SearchStrategy[float]:
    """Numbers with six digits, as measured ones have."""
    return st.floats(low, high, allow_nan=False).map(lambda x: float(f"{x:.6g}"))


KNOWN_OR_NOT = st.none() | amounts(0, 0.002)


@st.composite
def farms(draw: st.DrawFn) -> Farm:
    """A farm in base units: areas in ha, rates in L/ha or kg/ha, totals in L or kg."""
    names = draw(st.lists(st.sampled_from(FIELDS), min_size=1, max_size=3, unique=True))
    field = st.sampled_from(names)
    return {
        "fields": [{"field": n, "area": draw(amounts(0.5, 80))} for n in names],
        "manure_lots": [
            {"lot": k, "kind": k, "n_total": draw(amounts(0.002, 0.02)), "s": draw(KNOWN_OR_NOT)}
            for k in FORMS
        ],
        "manure_spread": draw(st.lists(spreading(field), max_size=4)),
        "fertilizer": draw(st.lists(fertilizing(field), max_size=4)),
        "harvest": draw(st.lists(harvesting(field), max_size=4)),
        "credits": draw(st.lists(crediting(field), max_size=2)),
    }


def spreading(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
    """A line of manure: L/ha or kg/ha, or the total."""
    return st.fixed_dictionaries(
        {
            "field": field,
            "lot": st.sampled_from(list(FORMS)),
            "per_area": st.booleans(),
            "amount": amounts(1000, 90_000),
            "method": st.sampled_from(["broadcast", "injected sweep", "irrigated"]),
            "incorporated_after_h": st.sampled_from([None, 3, 48, "never"]),
        }
    )


def fertilizing(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
    """A line of fertilizer: kg/ha or kg."""
    return st.fixed_dictionaries(
        {
            "field": field,
            "product": st.sampled_from(["urea", "UAN-28", "MAP 11-52-0", "ammonium thiosulfate"]),
            "per_area": st.booleans(),
            "amount": amounts(10, 500),
        }
    )


def harvesting(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
    """A line of harvest: kg/ha or kg."""
    crop = st.sampled_from([("corn", "grain"), ("wheat", "straw"), ("alfalfa", "hay")])
    return st.fixed_dictionaries(
        {
            "field": field,
            "what": crop,
            "per_area": st.booleans(),
            "amount": amounts(0, 20_000),
            "moisture_pct": st.none() | amounts(0, 60),
        }
    )


def crediting(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
    """A credit, which may be negative: kg/ha or kg."""
    return st.fixed_dictionaries(
        {"field": field, "per_area": st.booleans(), "amount": amounts(-60, 90)}
    )


# ----------------------------------------------------------------- written down in units
UNITS: dict[System, dict[str, str]] = {
    "us": {"area": "ac", "mass": "lb", "volume": "gal", "slurry": "gal", "pack": "ton"},
    "metric": {"area": "ha", "mass": "kg", "volume": "L", "slurry": "m3", "pack": "t"},
}
BASIS: dict[System, dict[str, tuple[str, str]]] = {
    "us": {"liquid": ("1000 gal", "lb/1000 gal"), "solid": ("ton", "lb/ton")},
    "metric": {"liquid": ("1000 L", "kg/1000 L"), "solid": ("t", "kg/t")},
}


def as_entries(farm: Farm, system: System) -> Entries:
    """The farm as a person of that system would type it."""
    units = UNITS[system]
    entries: Entries = {
        "fields": [{**f, "area": f["area"] / factor(units["area"])} for f in farm["fields"]],
        "manure_lots": [_lot(line, system) for line in farm["manure_lots"]],
        "manure_spread": [_spread(line, units) for line in farm["manure_spread"]],
        "fertilizer": [_fed(line, units) for line in farm["fertilizer"]],
        "harvest": [_cut(line, units) for line in farm["harvest"]],
        "credits": [_credit(line, units) for line in farm["credits"]],
    }
    return {name: [{k: v for k, v in r.items() if v is not None} for r in rows]
            for name, rows in entries.items()}  # fmt: skip


def factor(unit: str) -> float:
    """What a unit is in the base of its quantity."""
    return SHIPPED.units[unit].factor


def _typed(line: dict[str, Any], unit: str, area: str, column: str = "amount") -> dict[str, Any]:
    """An amount in a unit, as a rate or a total."""
    unit = f"{unit}/{area}" if line["per_area"] else unit
    return {column: line["amount"] / factor(unit), "unit": unit}


def _lot(line: dict[str, Any], system: System) -> dict[str, Any]:
    form = FORMS[line["kind"]]
    per, unit = BASIS[system][form]
    contents = {k: None if line[k] is None else line[k] / factor(unit) for k in ("n_total", "s")}
    return {"lot": line["lot"], "kind": line["kind"], "form": form, "per": per, **contents}


def _spread(line: dict[str, Any], units: dict[str, str]) -> dict[str, Any]:
    unit = units["slurry" if FORMS[line["lot"]] == "liquid" else "pack"]
    rest = {k: line[k] for k in ("field", "lot", "method", "incorporated_after_h")}
    return {"date": date(2026, 4, 1), **rest, **_typed(line, unit, units["area"])}


def _fed(line: dict[str, Any], units: dict[str, str]) -> dict[str, Any]:
    rest = {"field": line["field"], "product": line["product"], "pass": "other"}
    return {"date": date(2026, 5, 1), **rest, **_typed(line, units["mass"], units["area"])}


def _cut(line: dict[str, Any], units: dict[str, str]) -> dict[str, Any]:
    crop, part = line["what"]
    rest = {"field": line["field"], "moisture_pct": line["moisture_pct"]}
    typed = _typed(line, units["mass"], units["area"], "yield")
    return {"date": date(2026, 9, 1), "crop": crop, "part": part, **rest, **typed}


def _credit(line: dict[str, Any], units: dict[str, str]) -> dict[str, Any]:
    typed = _typed(line, units["mass"], units["area"])
    return {"field": line["field"], "kind": "other", **typed}
