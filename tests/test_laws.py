"""Laws that hold for every ledger: entries sum to zero, order and units do not matter.

Farms are drawn in base units (hectares, kilograms, litres) and written down in either system.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from datetime import date
from math import fsum
from typing import Any

import pytest
from farms import STANDARD, standard
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from workbooks import (
    SHIPPED,
    Document,
    Entries,
    as_read,
    document,
    edit,
    parse,
    put,
    run,
    workbook,
)

from ledger import pipeline
from ledger.model import System
from ledger.read import read

QUICK = settings(
    deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow]
)
FIELDS = ("Home", "Long Bottom", "Creek")
FORMS = {"hog liquid": "liquid", "beef solid": "solid"}
REL = 1e-9


# ------------------------------------------------------------------------ drawn farms
def amounts(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False).map(lambda x: float(f"{x:.6g}"))


@st.composite
def farms(draw: st.DrawFn) -> dict[str, list[dict[str, Any]]]:
    """A farm in base units: areas in ha, rates in L/ha or kg/ha, totals in L or kg."""
    names = draw(st.lists(st.sampled_from(FIELDS), min_size=1, max_size=3, unique=True))
    field = st.sampled_from(names)
    lines = {
        "fields": [{"field": n, "area": draw(amounts(0.5, 80))} for n in names],
        "manure_lots": [
            {"lot": kind, "kind": kind, "n_total": draw(amounts(0.002, 0.02)), "s": draw(known)}
            for kind in FORMS
        ],
        "manure_spread": draw(st.lists(spreading(field), max_size=4)),
        "fertilizer": draw(st.lists(fertilizing(field), max_size=4)),
        "harvest": draw(st.lists(harvesting(field), max_size=4)),
        "credits": draw(st.lists(crediting(field), max_size=2)),
    }
    return lines


known = st.none() | amounts(0, 0.002)


def spreading(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
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
    return st.fixed_dictionaries(
        {
            "field": field,
            "product": st.sampled_from(["urea", "UAN-28", "MAP 11-52-0", "ammonium thiosulfate"]),
            "per_area": st.booleans(),
            "amount": amounts(10, 500),
        }
    )


def harvesting(field: st.SearchStrategy[str]) -> st.SearchStrategy[dict[str, Any]]:
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


def as_entries(farm: dict[str, list[dict[str, Any]]], system: System) -> Entries:
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


# --------------------------------------------------------------------------------- laws
def sums_of_entries(done: pipeline.Run) -> dict[tuple[str, int, str], list[float]]:
    groups: dict[tuple[str, int, str], list[float]] = {}
    for p in done.results.journal.postings:
        key = (p.entry.row.grid.sheet_id, p.entry.row.number, p.nutrient)
        groups.setdefault(key, []).append(p.mass)
    return groups


@QUICK
@given(farms(), st.sampled_from(sorted(SHIPPED.manure_sets)))
def test_the_postings_of_an_entry_sum_to_zero(
    farm: dict[str, list[dict[str, Any]]], chosen: str
) -> None:
    entries = {**as_entries(farm, "metric"), "farm": [{"manure_set": chosen}]}
    for masses in sums_of_entries(run(entries, system="metric")).values():
        assert abs(fsum(masses)) <= REL * fsum(abs(m) for m in masses)


def test_the_postings_of_every_entry_of_the_standard_farm_sum_to_zero() -> None:
    sums = sums_of_entries(run(STANDARD))
    assert {sheet for sheet, _, _ in sums} >= {
        "manure_spread", "fertilizer", "harvest", "credits", "past_manure"
    }  # fmt: skip
    for masses in sums.values():
        assert abs(fsum(masses)) <= REL * fsum(abs(m) for m in masses)


def without_places(result: Document) -> dict[str, Any]:
    """The statements, in an order of their own; rows and cells left out."""
    return {
        "zones": sorted(result["zones"], key=lambda z: (z["field"], z["zone"])),
        "farm": result["farm"],
        "custom": result["custom"],
        "findings": sorted((f["code"], f["sheet"], f["message"]) for f in result["findings"]),
        "masses": sorted((p["account"], p["nutrient"], p["mass"]) for p in result["postings"]),
    }


# Findings that name a row move with it; these ledgers have none of them.
@QUICK
@given(farms(), st.randoms(use_true_random=False))
def test_the_order_of_lines_changes_nothing(
    farm: dict[str, list[dict[str, Any]]], chance: random.Random
) -> None:
    entries = as_entries(farm, "us")
    shuffled = {name: chance.sample(rows, len(rows)) for name, rows in entries.items()}
    assert without_places(document(entries)) == without_places(document(shuffled))


def test_the_order_of_lines_of_the_standard_farm_changes_nothing() -> None:
    entries = parse(STANDARD)
    turned = {name: rows[::-1] for name, rows in entries.items()}
    assert without_places(document(entries)) == without_places(document(turned))


@pytest.mark.parametrize("seed", [1, 2])
def test_the_order_of_sheets_changes_nothing(seed: int) -> None:
    def shuffle(book: Any) -> None:
        random.Random(seed).shuffle(book._sheets)

    moved = document(edit(standard(), shuffle))
    plain = document(standard())
    assert {**moved, "findings": None} == {**plain, "findings": None}
    assert without_places(moved) == without_places(plain)


def alike(first: Any, second: Any, factors: dict[str, float], key: str = "") -> bool:
    """Whether two documents say the same, the second in units ``factors`` larger."""
    if isinstance(first, dict) and isinstance(second, dict):
        pairs = [(first[k], second[k], k) for k in first]
        return first.keys() == second.keys() and all(alike(a, b, factors, k) for a, b, k in pairs)
    if isinstance(first, float) and isinstance(second, float):
        unit = factors["total"] if key.endswith("_total") else factors.get(key, factors["rate"])
        return second * unit == pytest.approx(first, rel=REL, abs=1e-6)
    return bool(first == second)


@QUICK
@given(farms())
def test_us_and_metric_ledgers_of_a_farm_give_the_same(
    farm: dict[str, list[dict[str, Any]]],
) -> None:
    us = document(as_entries(farm, "us"))
    metric = document(as_entries(farm, "metric"), system="metric")
    lb, ac = factor("lb"), factor("ac")
    factors = {"total": 1 / lb, "rate": ac / lb, "area": 1 / ac}
    assert len(us["zones"]) == len(metric["zones"]) > 0
    for ours, theirs in zip(us["zones"], metric["zones"], strict=True):
        assert alike(ours, theirs, factors)
    assert alike(us["farm"], metric["farm"], factors)
    assert [f["code"] for f in us["findings"]] == [f["code"] for f in metric["findings"]]


@QUICK
@given(farms(), st.lists(amounts(0.05, 1), min_size=2, max_size=4))
def test_splitting_an_even_field_into_zones_changes_nothing(
    farm: dict[str, list[dict[str, Any]]], weights: Sequence[float]
) -> None:
    entries = as_entries(farm, "us")
    name, area = entries["fields"][0]["field"], float(str(entries["fields"][0]["area"]))
    parts = [
        {"field": name, "zone": f"part {n}", "area": area * w / fsum(weights)}
        for n, w in enumerate(weights)
    ]
    whole, split = document(entries), document({**entries, "zones": parts})
    assert not [f for f in split["findings"] if f["severity"] == "error"]
    same = {"total": 1.0, "rate": 1.0, "area": 1.0}
    assert alike(whole["farm"], split["farm"], same)
    before = next(z for z in whole["zones"] if z["field"] == name)
    for zone in (z for z in split["zones"] if z["field"] == name):
        assert alike(before["nutrients"], zone["nutrients"], same)


# ------------------------------------------------------------------- build, fill, read
@pytest.mark.parametrize("system", ["us", "metric"])
def test_build_then_read_gives_back_what_was_filled_in(system: System) -> None:
    content = workbook(STANDARD, system=system)
    reading, found = read(content, SHIPPED)
    expected = as_read(STANDARD, system)
    assert found == []
    assert reading.system == system
    for sheet_id, rows in expected.rows.items():
        got = [(row.number, row.cells, row.grid.letters) for row in reading.rows[sheet_id]]
        wanted = [(row.number, row.cells, row.grid.letters) for row in rows]
        assert got == wanted, sheet_id


TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc", "Cn", "Co")), min_size=1,
    max_size=30,
)  # fmt: skip


@settings(deadline=None, max_examples=6)
@given(st.lists(TEXTS, min_size=40, max_size=40), st.lists(amounts(1e-6, 1e9), min_size=40))
def test_texts_and_numbers_of_any_kind_survive_the_workbook(
    texts: list[str], numbers: list[float]
) -> None:
    rows = [{"name": t, "contact": t, "crop_share_pct": n} for t, n in zip(texts, numbers, strict=False)]
    entries: Entries = {"people": [dict(row) for row in rows]}
    reading, _ = read(workbook(entries), SHIPPED)
    expected = as_read(entries).rows["people"]
    kept = [row.cells for row in expected if any(str(c).strip() for c in row.cells.values())]
    blanks_gone = [{k: v for k, v in cells.items() if str(v).strip()} for cells in kept]
    assert [row.cells for row in reading.rows["people"]] == blanks_gone


def test_a_workbook_and_its_entries_give_the_same_document() -> None:
    assert document(standard()) == document(STANDARD)


def test_the_same_entries_give_the_same_bytes() -> None:
    assert workbook(STANDARD) == standard()


def test_a_dropped_line_is_noticed_by_these_laws() -> None:
    # a check of the checks: documents of different farms do differ
    other = put(STANDARD, "fertilizer", "amount", 6)
    assert without_places(document(STANDARD)) != without_places(document(other))
