"""Laws that hold for every ledger: entries sum to zero, order and units do not matter."""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from math import fsum
from typing import Any

import pytest
from drawn import Farm, amounts, as_entries, factor, farms
from farms import STANDARD, standard
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from small import small
from workbooks import (
    FIRST_LINE,
    KEY_ROW,
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

QUICK = settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
REL = 1e-9


# --------------------------------------------------------------------------------- laws
def sums_of_entries(done: pipeline.Run) -> dict[tuple[str, int, str], list[float]]:
    groups: dict[tuple[str, int, str], list[float]] = {}
    for p in done.results.journal.postings:
        key = (p.entry.row.grid.sheet_id, p.entry.row.number, p.nutrient)
        groups.setdefault(key, []).append(p.mass)
    return groups


@QUICK
@given(farms(), st.sampled_from(sorted(SHIPPED.manure_sets)))
def test_the_postings_of_an_entry_sum_to_zero(farm: Farm, chosen: str) -> None:
    entries: Entries = {**as_entries(farm, "metric"), "farm": [{"manure_set": chosen}]}
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
        "findings": sorted((f["code"], f["sheet"]) for f in result["findings"]),
        "masses": sorted((p["account"], p["nutrient"], p["mass"]) for p in result["postings"]),
    }


@QUICK
@given(farms(), st.randoms(use_true_random=False))
def test_the_order_of_lines_changes_nothing(farm: Farm, chance: random.Random) -> None:
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


@pytest.mark.parametrize("seed", range(3))
def test_rows_sheets_and_columns_in_any_order_give_the_same(seed: int) -> None:
    chance = random.Random(seed)

    def shuffle(book: Any) -> None:
        chance.shuffle(book._sheets)
        for sheet in SHIPPED.sheets.values():
            if sheet.layout == "rows":
                deal_anew(book[sheet.title], chance)

    content = edit(workbook(STANDARD, data=small()), shuffle)
    assert without_places(document(content)) == without_places(document(STANDARD))


def deal_anew(sheet: Any, chance: random.Random) -> None:
    """Shuffle the lines of a worksheet, blank ones too, and then its columns, keys and headings."""
    cells = [[(c.value, c.number_format) for c in row] for row in sheet.iter_rows(min_row=KEY_ROW)]
    top = FIRST_LINE - KEY_ROW
    order = chance.sample(range(sheet.max_column), sheet.max_column)
    lines = [*cells[:top], *chance.sample(cells[top:], len(cells) - top)]
    for place, line in zip(sheet.iter_rows(min_row=KEY_ROW), lines, strict=True):
        for cell, at in zip(place, order, strict=True):
            cell.value, cell.number_format = line[at]


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
    farm: Farm,
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
    farm: Farm, weights: Sequence[float]
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
        got = reading.rows[sheet_id]
        assert [row.number for row in got] == [row.number for row in rows], sheet_id
        assert [row.cells for row in got] == [close(row.cells) for row in rows], sheet_id
        assert reading.grids[sheet_id].letters == expected.grids[sheet_id].letters


def close(cells: Mapping[str, Any]) -> dict[str, Any]:
    """Cells to compare with: a workbook keeps 16 digits of a number, which may have 17."""
    return {
        name: pytest.approx(cell, rel=1e-15) if isinstance(cell, float) else cell
        for name, cell in cells.items()
    }


TEXTS = st.text(
    st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1,
    max_size=30,
)  # fmt: skip


@settings(deadline=None, max_examples=3, phases=[Phase.explicit, Phase.generate])  # no shrinking
@given(st.lists(st.tuples(TEXTS, amounts(1e-6, 1e9)), min_size=80))
def test_texts_and_numbers_of_any_kind_survive_the_workbook(
    drawn: list[tuple[str, float]],
) -> None:
    entries: Entries = {
        "people": [{"name": t, "contact": t, "crop_share_pct": n} for t, n in drawn]
    }
    reading, _ = read(workbook(entries), SHIPPED)
    expected = as_read(entries).rows["people"]
    kept = [row.cells for row in expected if any(str(c).strip() for c in row.cells.values())]
    blanks_gone = [{k: v for k, v in cells.items() if str(v).strip()} for cells in kept]
    assert [row.cells for row in reading.rows["people"]] == blanks_gone


def test_a_workbook_and_its_entries_give_the_same_document() -> None:
    assert document(standard()) == document(STANDARD)


def test_the_same_entries_give_the_same_bytes() -> None:
    assert workbook(parse(STANDARD)) == standard()


def test_a_dropped_line_is_noticed_by_these_laws() -> None:
    # a check of the checks: documents of different farms do differ
    other = put(STANDARD, "fertilizer", "amount", 6)
    assert without_places(document(STANDARD)) != without_places(document(other))
