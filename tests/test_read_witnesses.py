"""Keys, names, headings: which two agree, who is asked when they do not, what copies do."""

from collections.abc import Callable
from typing import Any

import pytest
from farms import standard
from finding_cases import BASE
from workbooks import FIRST_LINE, KEY_ROW, SHIPPED, codes, document, edit, figures, title, workbook

from ledger.layout import letter
from ledger.model import System
from ledger.read import read
from ledger.read.settle import settle
from ledger.read.witness import Claims, Heading

HEADING_ROW = KEY_ROW + 1
SHEET = SHIPPED.sheets["fields"]
BOTH: frozenset[System] = frozenset(("us", "metric"))
US: frozenset[System] = frozenset(("us",))
METRIC: frozenset[System] = frozenset(("metric",))
LAST = letter(len(SHIPPED.sheets["fertilizer"].columns) - 1)


@pytest.fixture(scope="module")
def base() -> bytes:
    return workbook(BASE)


def claims(**changes: Any) -> Claims:
    """Witnesses who agree that 'field' is at 0 and 'area' at 1, but for the changes."""
    said: dict[str, Any] = {
        "keys": {"field": [0], "area": [1]},
        "names": {"field": 0, "area": 1},
        "headings": {
            0: Heading(column="field", systems=BOTH),
            1: Heading(column="area", systems=US),
        },
    }
    return Claims(**{**said, **changes})


def places(said: Claims) -> dict[str, int]:
    return settle(SHEET, said, "us").places


def doubts(said: Claims) -> list[str]:
    return [doubt.column for doubt in settle(SHEET, said, "us").doubts]


@pytest.mark.parametrize(
    "lost",
    [{}, {"keys": {}}, {"names": {}}, {"headings": {}}],
    ids=["none", "keys", "names", "headings"],
)
def test_any_two_witnesses_are_enough(lost: dict[str, Any]) -> None:
    assert places(claims(**lost)) == {"field": 0, "area": 1}
    assert doubts(claims(**lost)) == []


@pytest.mark.parametrize("kept", ["keys", "names", "headings"])
def test_one_witness_alone_is_asked_about(kept: str) -> None:
    lost: dict[str, Any] = {name: {} for name in ("keys", "names", "headings") if name != kept}
    assert places(claims(**lost)) == {}
    assert doubts(claims(**lost)) == ["field", "area"]


def test_names_that_lag_behind_are_outvoted() -> None:
    assert places(claims(names={"field": 1, "area": 0})) == {"field": 0, "area": 1}


def test_a_heading_of_another_column_is_never_outvoted() -> None:
    crossed = {
        0: Heading(column="area", systems=US),
        1: Heading(column="field", systems=BOTH),
    }
    assert places(claims(headings=crossed)) == {}
    assert doubts(claims(headings=crossed)) == ["field", "area"]


def test_a_heading_in_other_units_is_never_outvoted() -> None:
    metric = {1: Heading(column="area", systems=METRIC)}
    assert places(claims(headings=metric)) == {"field": 0}
    assert doubts(claims(headings=metric)) == ["area"]


def test_columns_moved_without_their_keys_follow_name_and_heading() -> None:
    moved = claims(names={"field": 0, "area": 7}, headings={
        0: Heading(column="field", systems=BOTH),
        7: Heading(column="area", systems=BOTH),
    })  # fmt: skip
    assert places(moved) == {"field": 0, "area": 7}


# ---------------------------------------------------------------------------- workbooks
def found(content: bytes) -> set[tuple[str, str, str]]:
    return {(f.code, f.sheet, f.cell) for f in read(content, SHIPPED)[1]}


def test_the_column_of_the_mark_may_be_deleted(base: bytes) -> None:
    def drop(book: Any) -> None:
        for sheet in SHIPPED.sheets.values():
            if sheet.layout == "rows":
                book[sheet.title].delete_cols(len(sheet.columns) + 1)

    assert found(edit(base, drop)) == set()


def test_key_rows_may_be_deleted_and_headings_be_sorted_away() -> None:
    def spoil(book: Any) -> None:
        for sheet_id in ("fields", "fertilizer", "harvest"):
            sheet = book[title(sheet_id)]
            sheet.move_range(f"A{HEADING_ROW}:Z{HEADING_ROW}", rows=60)
            sheet.delete_rows(KEY_ROW)

    said = {code for code, _, _ in found(edit(standard(), spoil))}
    assert said == {"sheet-missing"}  # names alone prove nothing: said, not guessed


def test_a_sheet_of_the_other_units_is_not_read(base: bytes) -> None:
    def foreign(book: Any) -> None:
        mark = next(c for c in book["Fields"][KEY_ROW] if " us " in str(c.value))
        mark.value = mark.value.replace(" us ", " metric ")

    assert ("sheet-doubtful", "Fields", "A1") in found(edit(base, foreign))


def test_a_copied_column_is_noted_when_it_says_the_same_and_asked_about_when_not(
    base: bytes,
) -> None:
    def copy(book: Any) -> None:
        for row in range(1, FIRST_LINE + 1):
            book["Fertilizer"].cell(row, 26).value = book["Fertilizer"].cell(row, 6).value

    same = edit(base, copy)
    assert found(same) == {("copy-ignored", "Fertilizer", f"Z{HEADING_ROW}")}
    assert figures(document(same)) == figures(document(BASE))
    other = edit(same, lambda book: book["Fertilizer"].cell(FIRST_LINE, 26, 55))
    assert found(other) == {("column-twice", "Fertilizer", f"Z{HEADING_ROW}")}


def test_an_empty_copy_of_a_sheet_is_a_note(base: bytes) -> None:
    def copy(book: Any) -> None:
        twin = book.copy_worksheet(book["Fertilizer"])
        for cell in twin[FIRST_LINE]:
            cell.value = None

    assert found(edit(base, copy)) == {("copy-ignored", "Fertilizer Copy", "A1")}


def merge(area: str) -> Callable[[Any], None]:
    return lambda book: book["Fertilizer"].merge_cells(area)


@pytest.mark.parametrize("area", ["A1:F1", "A5:B5", f"{LAST}6:AD6", "A40:C40", "A6:A9"])
def test_merged_cells_that_hide_nothing_do_no_harm(base: bytes, area: str) -> None:
    assert codes(document(edit(base, merge(area)))) in (set(), {"column-twice"})


@pytest.mark.parametrize(("area", "cell"), [("H6:I6", "H6"), ("H5:H6", "H6"), ("Z6:AA9", "")])
def test_merged_cells_over_an_entry_are_reported(base: bytes, area: str, cell: str) -> None:
    said = document(edit(base, merge(area)))["findings"]
    assert [f["cell"] for f in said if f["code"] == "merged-cells"] == ([cell] if cell else [])


def test_formulas_without_value_in_blank_lines_are_said_once_a_column(base: bytes) -> None:
    def fill(book: Any) -> None:
        for row in range(50, 300):
            book["Fertilizer"].cell(row, 6).value = "=F6"
            book["Fertilizer"].cell(row, 30).value = "=F6"  # a column of one's own

    said = document(edit(base, fill))["findings"]
    assert [(f["code"], f["cell"]) for f in said] == [("formula-without-value", "F50")]
