"""Cells that the ledger counts and live formulas do not see: what is told, and what is not."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from finding_cases import BASE, ZONES
from live_figures import opened
from programs import NEEDS_GNUMERIC, NEEDS_OFFICE, SOFFICE, SSCONVERT, gnumeric, office
from workbooks import (
    FIRST_LINE,
    SHIPPED,
    Entries,
    Source,
    cell_of,
    document,
    edit,
    entries_of,
    put,
    title,
    workbook,
)

from ledger.check.unseen import TOLD_SINGLY
from ledger.live.typed import typed_columns

NOTED = "live-columns-miss-it"
ZONED = put(BASE + ZONES.replace("15", "20"), "fertilizer", "zone", "west")
KEPT = {  # what may be typed: (sheet, column, as it is kept, what the plain ledger has)
    "decimal comma": ("fertilizer", "amount", "100,0", 100),
    "blanks about a number": ("crops", "yield_goal", " 200 ", 200),
    "a percent sign as text": ("harvest", "moisture_pct", "15%", 15),
    "a date as text": ("fertilizer", "date", "2026-04-20", datetime(2026, 4, 20)),
    "a year as text": ("past_manure", "year", "2025", 2025),
    "a field with a blank behind": ("fertilizer", "field", "Home ", "Home"),
    "two blanks in a name": ("crops", "previous_crop", "dry  bean", "dry bean"),
    "a unit": ("fertilizer", "unit", " lb/ac", "lb/ac"),
    "a zone": ("fertilizer", "zone", "west ", "west"),
    "a word beside numbers": ("manure_spread", "incorporated_after_h", "never ", "never"),
    "a credit set": ("farm", "manure_set", "MN-UMN ", "MN-UMN"),
}


def noted(source: Source) -> list[tuple[str, str, str]]:
    """Sheet, cell and words of the notes."""
    found = document(source)["findings"]
    return [(f["sheet"], f["cell"], f["message"]) for f in found if f["code"] == NOTED]


@pytest.mark.parametrize("name", KEPT)
def test_what_formulas_do_not_see_is_noted_in_its_cell_and_counted(name: str) -> None:
    sheet, column, kept, plain = KEPT[name]
    before, after = put(ZONED, sheet, column, plain), put(ZONED, sheet, column, kept)
    assert noted(before) == []
    ((at, cell, words),) = noted(after)
    assert (at, cell) == (title(sheet), cell_of(sheet, column))
    assert f"'{kept}'" in words
    told, untold = document(after), document(before)
    assert told["zones"] == untold["zones"]
    assert len(told["findings"]) == len(untold["findings"]) + 1


@pytest.mark.parametrize(
    ("sheet", "column", "cell"),
    [
        ("fertilizer", "field", "HOME"),  # formulas do not tell letter case apart
        ("fertilizer", "unit", "LB/AC"),
        ("crops", "crop", "Corn"),
        ("fields", "notes", "a  note "),  # no formula looks at it
        ("fertilizer", "applicator", " me"),
        ("fields", "field", "Home"),
        ("farm", "over_tolerance_pct", "10"),
    ],
)
def test_what_formulas_see_or_never_look_at_is_not_noted(
    sheet: str, column: str, cell: str
) -> None:
    assert noted(put(BASE, sheet, column, cell)) == []


def test_a_name_kept_alike_in_both_places_is_matched() -> None:
    entries = entries_of(BASE)
    for lines in entries.values():
        for line in lines:
            if "field" in line:
                line["field"] = 12
    assert noted(entries) == []
    ((_, cell, words),) = noted(put(entries, "harvest", "field", "12"))
    assert cell == cell_of("harvest", "field") and "a number kept as text" in words


def many(count: int) -> Entries:
    """The base with so many fertilizer lines whose amounts are texts."""
    entries = entries_of(BASE)
    line = {**entries["fertilizer"][0], "pass": "other"}
    amounts = [f"{number},5" for number in range(1, count + 1)]
    entries["fertilizer"] = [{**line, "amount": amount} for amount in amounts]
    return entries


def test_of_many_cells_of_a_column_the_first_is_told_and_how_many() -> None:
    assert len(noted(many(TOLD_SINGLY))) == TOLD_SINGLY
    ((_, cell, words),) = noted(many(40))
    assert cell == cell_of("fertilizer", "amount")
    assert "'1,5' is read as 1.5" in words and "39 more cells of this column" in words


def test_the_columns_looked_at_are_those_of_the_formulas() -> None:
    used = typed_columns(SHIPPED, "us")
    assert {"date", "amount", "field"} <= used["fertilizer"]
    assert "applicator" not in used["fertilizer"] and "people" not in used
    assert {"manure_set", "year"} <= used["farm"]


# ----------------------------------------------------------------------- real programs
def shows_a_number(file: Path, sheet: str, line: int) -> bool:
    """Whether the first live figure of a line is a number."""
    place = opened(file)[title(sheet)]
    at = next(cell.column for cell in place[4] if str(cell.value).startswith("=live_N"))
    return isinstance(place.cell(FIRST_LINE + line, at).value, (int, float))


FORMS: tuple[tuple[str, Any, bool], ...] = (
    ("amount", 100, True),
    ("amount", "100", False),
    ("field", "HOME", True),
    ("field", "Home ", False),
    ("date", "2026-04-20", False),
    ("unit", "LB/AC", True),
    ("unit", "lb/ac ", False),
)


def typed_otherwise() -> bytes:
    """A line a form: the base's fertilizer with one of its cells kept otherwise."""
    entries = entries_of(BASE)
    line = entries["fertilizer"][0]
    entries["fertilizer"] = [line for _ in FORMS]

    def change(book: Any) -> None:
        for number, (column, kept, _) in enumerate(FORMS, start=1):
            book["Fertilizer"][cell_of("fertilizer", column, number)].value = kept

    return edit(workbook(entries), change)


def seen_by_formulas(file: Path) -> list[bool]:
    return [shows_a_number(file, "fertilizer", number) for number in range(len(FORMS))]


def test_notes_are_of_the_lines_that_programs_show_no_number_for(tmp_path: Path) -> None:
    content = typed_otherwise()
    assert {cell for _, cell, _ in noted(content)} == {
        cell_of("fertilizer", column, number)
        for number, (column, _, seen) in enumerate(FORMS, start=1)
        if not seen
    }
    if not SOFFICE:
        pytest.skip(NEEDS_OFFICE)
    (tmp_path / "typed.xlsx").write_bytes(content)
    office(tmp_path / "profile", "xlsx", tmp_path / "done", [tmp_path / "typed.xlsx"])
    assert seen_by_formulas(tmp_path / "done" / "typed.xlsx") == [seen for *_, seen in FORMS]


def test_gnumeric_sees_the_same(tmp_path: Path) -> None:
    if not SSCONVERT:
        pytest.skip(NEEDS_GNUMERIC)
    (tmp_path / "typed.xlsx").write_bytes(typed_otherwise())
    gnumeric("--recalc", tmp_path / "typed.xlsx", tmp_path / "done.xlsx")
    assert seen_by_formulas(tmp_path / "done.xlsx") == [seen for *_, seen in FORMS]
