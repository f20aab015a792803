"""Workbooks after people had their hands on them: changes made with openpyxl, then read again."""

from copy import copy
from datetime import datetime
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from farms import ONE_FIELD, STANDARD, standard
from finding_cases import BASE
from lines import fed
from workbooks import (
    FIRST_LINE,
    KEY_ROW,
    SHIPPED,
    Document,
    Entries,
    cell_of,
    codes,
    document,
    edit,
    figures,
    parse,
    put,
    put_raw,
    set_cell,
    title,
    workbook,
)

from ledger.read import Unreadable, read

HEADING_ROW = KEY_ROW + 1
PLAIN = document(BASE)
STANDARD_RESULT = document(STANDARD)


@pytest.fixture(scope="module")
def base() -> bytes:
    return workbook(BASE)


def sums(result: Document) -> Any:
    """What must not change, whatever is done to the looks of a workbook."""
    return result["zones"], result["farm"], codes(result)


def same(content: bytes) -> bool:
    return bool(sums(document(content)) == sums(PLAIN))


# ------------------------------------------------------------------------ whole sheets
def test_sheets_may_be_renamed(base: bytes) -> None:
    def rename(book: Any) -> None:
        for number, sheet in enumerate(book.worksheets):
            sheet.title = f"Mein Blatt {number}"

    changed = edit(base, rename)
    assert same(changed)
    spoilt = document(set_cell(changed, "Mein Blatt 10", "F6", "x"))
    assert ("Mein Blatt 10", "F6") in {(f["sheet"], f["cell"]) for f in spoilt["findings"]}


def test_sheets_may_be_reordered_and_hidden(base: bytes) -> None:
    def turn(book: Any) -> None:
        book._sheets.reverse()
        book["Fertilizer"].sheet_state = "hidden"
        book["Credits"].sheet_state = "veryHidden"
        book.active = 0

    assert same(edit(base, turn))


def test_sheets_of_ones_own_are_left_alone(base: bytes) -> None:
    def add(book: Any) -> None:
        own = book.create_sheet("My notes", 0)
        own["A1"] = "nutrient-ledger check"
        own["A2"] = "nutrient-ledger is what I keep"
        own["A3"] = "nutrient-ledger 1 us moon"
        own.append(["field", "amount", "unit", 12])
        book.create_sheet("Empty")

    assert same(edit(base, add))


def test_start_and_lists_are_not_needed(base: bytes) -> None:
    def drop(book: Any) -> None:
        for name in ("Start", "Lists", "Summary"):
            del book[name]

    assert same(edit(base, drop))


def test_a_copy_of_a_sheet_is_reported_and_not_counted(base: bytes) -> None:
    result = document(edit(base, lambda book: book.copy_worksheet(book["Fertilizer"])))
    assert codes(result) == {"copy-ignored"}
    assert figures(result) == figures(PLAIN)


# ------------------------------------------------------------------- columns and rows
def move(sheet: Any, order: list[int]) -> None:
    """Put the columns of a sheet into another order, keys and headings with them."""
    width = len(order)
    rows = [
        [(cell.value, cell.number_format) for cell in row] for row in sheet.iter_rows(max_col=width)
    ]
    for number, row in enumerate(rows, start=1):
        for at, old in enumerate(order, start=1):
            cell = sheet.cell(number, at)
            cell.value, cell.number_format = row[old]


def test_columns_may_be_moved(base: bytes) -> None:
    def turn(book: Any) -> None:
        for sheet in SHIPPED.sheets.values():
            if sheet.layout == "rows":
                width = len(sheet.columns) + 1  # the mark stands behind the last column
                move(book[sheet.title], list(range(width))[::-1])

    assert same(edit(base, turn))


def test_a_finding_follows_a_moved_column(base: bytes) -> None:
    def spoil(book: Any) -> None:
        book["Fertilizer"]["F6"] = -100
        move(book["Fertilizer"], [5, 0, 1, 2, 3, 4, 6, 7, 8, 9, 10, 11])

    result = document(edit(base, spoil))
    assert [(f["code"], f["cell"]) for f in result["findings"]] == [("too-small", "A6")]


def test_columns_of_ones_own_may_be_put_between(base: bytes) -> None:
    def insert(book: Any) -> None:
        for sheet_id in ("fertilizer", "harvest"):
            sheet = book[title(sheet_id)]
            sheet.insert_cols(2)
            sheet.cell(HEADING_ROW, 2).value = "My own column"
            sheet.cell(FIRST_LINE, 2).value = "whatever"

    assert same(edit(base, insert))


@pytest.mark.parametrize("above", [1, KEY_ROW, FIRST_LINE])
def test_rows_may_be_inserted_anywhere(base: bytes, above: int) -> None:
    def insert(book: Any) -> None:
        for sheet_id in ("farm", "fields", "fertilizer", "harvest"):
            book[title(sheet_id)].insert_rows(above, amount=3)

    result = document(edit(base, insert))
    assert sums(result)[:2] == sums(PLAIN)[:2]
    assert result["ledger"] == PLAIN["ledger"]


def test_lines_may_stand_apart_and_far_down(base: bytes) -> None:
    def spread_out(book: Any) -> None:
        sheet = book["Fertilizer"]
        for cell in sheet[FIRST_LINE]:
            sheet.cell(900, cell.column).value = cell.value
            cell.value = None

    result = document(edit(base, spread_out))
    assert sums(result) == sums(PLAIN)
    assert {p["row"] for p in result["postings"] if p["stream"] == "fertilizer"} == {900}


def test_cells_with_spaces_only_are_blank(base: bytes) -> None:
    def blank_looking(book: Any) -> None:
        sheet = book["Fertilizer"]
        sheet[f"A{FIRST_LINE + 3}"] = "  "
        sheet[f"F{FIRST_LINE + 4}"] = "\u00a0"
        sheet[f"E{FIRST_LINE}"] = " "

    assert same(edit(base, blank_looking))


def test_headings_may_be_renamed(base: bytes) -> None:
    def rename(book: Any) -> None:
        for cell in book["Fertilizer"][HEADING_ROW]:
            cell.value = f"mine {cell.column}"

    result = document(edit(base, rename))
    assert sums(result)[:2] == sums(PLAIN)[:2]


def test_a_sorted_sheet_reads_alike() -> None:
    def turn(book: Any) -> None:
        sheet = book["Harvest"]
        lines = list(sheet.iter_rows(min_row=FIRST_LINE, max_row=FIRST_LINE + 4))
        values = [[copy(cell.value) for cell in line] for line in lines][::-1]
        for line, new in zip(lines, values, strict=True):
            for cell, value in zip(line, new, strict=True):
                cell.value = value

    turned, plain = document(edit(standard(), turn)), document(standard())
    assert turned["zones"] == plain["zones"]


def test_a_field_may_be_called_like_a_heading_or_a_sheet() -> None:
    names = ["Fields", "Area", "Owner", "Zone"]
    rows: list[dict[str, object]] = [{"field": name, "area": 10} for name in names]
    assert [z["field"] for z in document(workbook({"fields": rows}))["zones"]] == names


# ------------------------------------------------------------------- the key row is gone
def test_without_their_key_rows_sheets_are_known_by_their_headings() -> None:
    def wipe(book: Any) -> None:
        for sheet in SHIPPED.sheets.values():
            if sheet.layout == "rows":
                book[sheet.title].delete_rows(KEY_ROW)

    result = document(edit(standard(), wipe))
    assert result["zones"] == STANDARD_RESULT["zones"]
    assert codes(result) == codes(STANDARD_RESULT)


def test_headings_are_known_in_any_case_and_spacing(base: bytes) -> None:
    def change(book: Any) -> None:
        sheet = book["Fertilizer"]
        for cell in sheet[HEADING_ROW]:
            cell.value = f"  {str(cell.value or '').upper().replace(' ', '  ')} "
        sheet.delete_rows(KEY_ROW)

    assert same(edit(base, change))


def test_without_its_marks_the_farm_sheet_is_known_by_its_questions(base: bytes) -> None:
    assert same(edit(base, lambda book: book["Farm"].delete_cols(1)))


def test_a_farm_sheet_that_is_gone_is_reported_missing(base: bytes) -> None:
    result = document(edit(base, lambda book: book.remove(book["Farm"])))
    assert ("sheet-missing", "Farm") in {(f["code"], f["sheet"]) for f in result["findings"]}
    assert result["farm"]["incomplete"]


@pytest.mark.parametrize("left", [(), ("fields",), ("fields", "harvest")])
def test_a_workbook_with_hardly_any_entry_sheet_is_no_ledger(
    base: bytes, left: tuple[str, ...]
) -> None:
    def change(book: Any) -> None:
        for sheet in SHIPPED.sheets.values():
            if sheet.id not in left:
                book.remove(book[sheet.title])

    with pytest.raises(Unreadable, match="looks like a report, a copy") as refused:
        read(edit(base, change), SHIPPED)
    assert all(title(name) in str(refused.value) for name in left)
    assert ("it has none" in str(refused.value)) is not bool(left)


def test_answers_on_the_farm_sheet_may_be_reordered() -> None:
    content = workbook(put(BASE, "farm", "manure_set", "AB-NMPG"))

    def turn(book: Any) -> None:
        sheet = book["Farm"]
        rows = [[c.value for c in row] for row in sheet.iter_rows(min_row=FIRST_LINE)][::-1]
        for number, row in enumerate(rows, start=FIRST_LINE):
            for at, value in enumerate(row, start=1):
                sheet.cell(number, at).value = value

    turned, plain = document(edit(content, turn)), document(content)
    assert turned["ledger"] == plain["ledger"]
    assert turned["zones"] == plain["zones"]


# ---------------------------------------------------------------------- what cells hold
RAW: list[tuple[str, object, str | None]] = [
    ("amount", "100", None),
    ("amount", "100,0", None),
    ("amount", "1\u00a000", None),
    ("date", "2026-04-20", None),
    ("date", "4/20/2026", None),
    ("date", 46132, None),  # the serial of that day
    ("field", " HOME", None),
    ("amount", "1,234", "ambiguous-number"),
    ("amount", "=50+50", "not-a-number"),
    ("amount", "#DIV/0!", "error-cell"),
    ("amount", True, "not-a-number"),
    ("amount", datetime(2026, 4, 20), "not-a-number"),
    ("date", "4/5/2026", "not-a-date"),
]


def test_raw_cells_are_read_as_what_they_are() -> None:
    lines = "".join(fed() for _ in RAW)

    def fill(book: Any) -> None:
        for line, (column, cell, _) in enumerate(RAW, start=1):
            put_raw(book["Fertilizer"][cell_of("fertilizer", column, line)], cell)

    result = document(edit(workbook(ONE_FIELD + lines), fill))
    found = {(f["cell"], f["code"]) for f in result["findings"] if f["severity"] == "error"}
    assert found == {
        (cell_of("fertilizer", column, line), code)
        for line, (column, _, code) in enumerate(RAW, start=1)
        if code
    }
    sound = sum(code is None for _, _, code in RAW)
    assert figures(result)["fertilizer"] == pytest.approx(46.0 * sound)


def test_a_formula_counts_with_its_last_value(base: bytes) -> None:
    # openpyxl keeps no last value: a formula that was never reckoned is said, and is no blank
    place = cell_of("fertilizer", "amount")
    changed = edit(base, lambda book: book["Fertilizer"][place].__setattr__("value", "=50+50"))
    result = document(changed)
    assert [(f["code"], f["cell"]) for f in result["findings"]] == [
        ("formula-without-value", place)
    ]


# --------------------------------------------------------------------- what is not ours
def test_a_workbook_without_our_sheets_is_unreadable() -> None:
    book = openpyxl.Workbook()
    book["Sheet"]["A1"] = "nutrient-ledger"
    target = BytesIO()
    book.save(target)
    with pytest.raises(Unreadable, match="nutrient-ledger new"):
        read(target.getvalue(), SHIPPED)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "not a complete .xlsx"),
        (b"field,area\nHome,40\n", "not a complete .xlsx"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "password-protected or in the old .xls"),
    ],
    ids=["empty", "csv", "ole"],
)
def test_other_files_are_named_for_what_they_are(content: bytes, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read(content, SHIPPED)


@pytest.mark.parametrize("part", [0.2, 0.5, 0.9, 0.999])
def test_a_workbook_that_is_cut_off_is_unreadable(base: bytes, part: float) -> None:
    with pytest.raises(Unreadable):
        read(base[: int(len(base) * part)], SHIPPED)


def test_a_metric_workbook_is_read_as_metric() -> None:
    content = workbook(ONE_FIELD + fed(amount=100, unit="kg/ha"), system="metric")
    assert read(content, SHIPPED)[0].system == "metric"
    assert figures(document(content))["fertilizer"] == pytest.approx(46)


def test_result_sheets_are_found_under_any_name(base: bytes) -> None:
    def rename(book: Any) -> None:
        book["Summary"].title = "My totals"

    results = read(edit(base, rename), SHIPPED)[0].result_sheets
    assert results["summary"] == "My totals"
    assert results["findings"] == "Findings"


def test_unknown_columns_with_a_key_are_passed_over(base: bytes) -> None:
    def add(book: Any) -> None:
        book["Fertilizer"][f"Y{KEY_ROW}"] = "#of_another_edition"
        book["Fertilizer"][f"Y{FIRST_LINE}"] = "something"

    assert same(edit(base, add))


def test_a_line_with_nothing_but_a_note_of_ones_own_is_no_line(base: bytes) -> None:
    entries: Entries = parse(STANDARD)
    far = cell_of("fertilizer", "amount", len(entries["fertilizer"]) + 5)
    row = int(far.strip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    changed = edit(base, lambda book: book["Fertilizer"].cell(row, 30, "remember to call"))
    assert same(changed)
