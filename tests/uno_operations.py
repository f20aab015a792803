"""What people do to a workbook, done in LibreOffice itself; run by the system's own Python.

    /usr/bin/python3 uno_operations.py PIPE FOLDER FARM.xlsx OPERATION...

Connects to an office that listens on the pipe, and for every operation opens the farm, does
it to all entry sheets, and saves FOLDER/<operation>.xlsx. An entry sheet is one with a hidden
key row. The module ``uno`` exists for the system's Python only (Debian: python3-uno).
"""

from __future__ import annotations

import importlib
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

try:
    uno: Any = importlib.import_module("uno")
except ImportError:  # under the tests' own Python only the names of the operations are wanted
    uno = None

KEYS, HEADINGS, FIRST = 3, 4, 5  # rows of a new entry sheet, from 0
FAR = 1200  # beyond the rows that are prepared
OPERATIONS: dict[str, Callable[[Any], None]] = {}


def operation(does: Callable[[Any], None]) -> Callable[[Any], None]:
    OPERATIONS[does.__name__] = does
    return does


# ------------------------------------------------------------------------- helpers
def entry_sheets(document: Any) -> list[Any]:
    """The sheets with a key row, whose cells start with '#'; Reference is protected, not theirs."""
    sheets = [document.Sheets.getByIndex(at) for at in range(document.Sheets.Count)]
    return [sheet for sheet in sheets if any(keys(sheet)) and sheet.Name != "Reference"]


def keys(sheet: Any) -> Iterator[str]:
    (line,) = block(sheet, 0, KEYS, 40, KEYS).DataArray
    return (cell for cell in line if isinstance(cell, str) and cell.startswith("#"))


def is_pairs(sheet: Any) -> bool:
    return bool(sheet.getCellByPosition(2, KEYS).String == "#value")


def extent(sheet: Any) -> tuple[int, int]:
    """The last row and column that are used."""
    cursor = sheet.createCursor()
    cursor.gotoEndOfUsedArea(False)
    end = cursor.RangeAddress
    last = sheet.getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow)
    row = max(at for at, line in enumerate(last.DataArray) if any(cell != "" for cell in line))
    column = max(at for line in last.DataArray for at, cell in enumerate(line) if cell != "")
    return row, column


def move(sheet: Any, column: int, row: int, area: Any) -> None:
    sheet.moveRange(sheet.getCellByPosition(column, row).CellAddress, area.RangeAddress)


def copy(sheet: Any, column: int, row: int, area: Any) -> None:
    sheet.copyRange(sheet.getCellByPosition(column, row).CellAddress, area.RangeAddress)


def block(sheet: Any, left: int, top: int, right: int, bottom: int) -> Any:
    return sheet.getCellRangeByPosition(left, top, right, bottom)


def value(name: str, what: Any) -> Any:
    made = uno.createUnoStruct("com.sun.star.beans.PropertyValue")
    made.Name, made.Value = name, what
    return made


def sort(area: Any, column: int, ascending: bool) -> None:
    field = uno.createUnoStruct("com.sun.star.table.TableSortField")
    field.Field, field.IsAscending = column, ascending
    fields = uno.Any("[]com.sun.star.table.TableSortField", (field,))
    options = (value("SortFields", fields), value("ContainsHeader", False))
    uno.invoke(area, "sort", (uno.Any("[]com.sun.star.beans.PropertyValue", options),))


# --------------------------------------------------------------------- whole sheets
@operation
def plain_save(document: Any) -> None:
    """Nothing but opening and saving."""


@operation
def rename_sheets(document: Any) -> None:
    for number, sheet in enumerate(entry_sheets(document)):
        sheet.Name = f"Mine {number} & o'clock"


@operation
def move_sheets(document: Any) -> None:
    for sheet in entry_sheets(document):
        document.Sheets.moveByName(sheet.Name, 0)


@operation
def copy_sheets(document: Any) -> None:
    for sheet in entry_sheets(document):
        document.Sheets.copyByName(sheet.Name, f"{sheet.Name} copy", document.Sheets.Count)


@operation
def copy_sheets_in_front(document: Any) -> None:
    for sheet in entry_sheets(document):
        document.Sheets.copyByName(sheet.Name, f"{sheet.Name} copy", 0)


@operation
def hide_sheets(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.IsVisible = False


@operation
def add_sheets(document: Any) -> None:
    for number, sheet in enumerate(entry_sheets(document)):
        document.Sheets.insertNewByName(f"Notes {number}", 2 * number)
        own = document.Sheets.getByName(f"Notes {number}")
        own.getCellByPosition(0, 0).String = sheet.Name
        own.getCellByPosition(1, 4).Value = number


@operation
def protect_sheets(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.protect("secret")


# -------------------------------------------------------------------------- columns
@operation
def insert_column_in_front(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Columns.insertByIndex(0, 2)
        sheet.getCellByPosition(0, HEADINGS).String = "My own"
        sheet.getCellByPosition(1, FIRST).String = "see book"


@operation
def insert_column_between(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Columns.insertByIndex(1, 1)
        sheet.getCellByPosition(1, HEADINGS).String = "My own"
        sheet.getCellByPosition(1, FIRST).Value = 7


@operation
def move_first_column_behind(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        move(sheet, column + 2, 0, block(sheet, 0, 0, 0, row))
        sheet.Columns.removeByIndex(0, 1)


@operation
def move_last_column_in_front(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        sheet.Columns.insertByIndex(0, 1)
        move(sheet, 0, 0, block(sheet, column, 0, column, row))


@operation
def hide_columns(document: Any) -> None:
    for sheet in entry_sheets(document):
        for at in range(0, extent(sheet)[1], 2):
            sheet.Columns.getByIndex(at).IsVisible = False


@operation
def rename_headings(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        if is_pairs(sheet):
            for at in range(FIRST, row + 1):
                sheet.getCellByPosition(1, at).String = f"question {at}"
        else:
            for at in range(column):
                sheet.getCellByPosition(at, HEADINGS).String = f"mine {at}"


@operation
def copy_columns(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        for at in (0, 2):
            copy(sheet, column + 2 + at, 0, block(sheet, at, 0, at, row))


@operation
def copy_a_column_and_delete_the_old(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        copy(sheet, column + 2, 0, block(sheet, 0, 0, 0, row))
        sheet.Columns.removeByIndex(0, 1)


# ----------------------------------------------------------------------------- rows
@operation
def insert_rows_above(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Rows.insertByIndex(0, 3)
        sheet.getCellByPosition(0, 0).String = "Book of the year"


@operation
def insert_rows_at_the_keys(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Rows.insertByIndex(HEADINGS, 2)
        sheet.Rows.insertByIndex(KEYS, 2)


@operation
def insert_rows_between(document: Any) -> None:
    for sheet in entry_sheets(document):
        for at in range(FIRST + 6, FIRST - 1, -2):
            sheet.Rows.insertByIndex(at, 1)


@operation
def delete_a_row(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Rows.removeByIndex(extent(sheet)[0] + 5, 1)


@operation
def sort_lines(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        sort(block(sheet, 0, FIRST, column, max(row, FIRST)), 0, ascending=False)


@operation
def sort_lines_by_another_column(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        sort(block(sheet, 0, FIRST, column, max(row, FIRST)), 1, ascending=True)


@operation
def sort_headings_into_the_lines(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        sort(block(sheet, 0, HEADINGS, column, max(row, FIRST)), 0, ascending=True)


@operation
def sort_everything(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        sort(block(sheet, 0, 0, column, row), 0, ascending=True)


@operation
def filter_lines(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        area = block(sheet, 0, HEADINGS, column, max(row, FIRST))
        descriptor = area.createFilterDescriptor(True)
        field = uno.createUnoStruct("com.sun.star.sheet.TableFilterField")
        field.Field, field.IsNumeric, field.StringValue = 0, False, "nothing is called so"
        field.Operator = uno.Enum("com.sun.star.sheet.FilterOperator", "EQUAL")
        descriptor.ContainsHeader = True
        descriptor.setFilterFields((field,))
        area.filter(descriptor)


@operation
def hide_rows(document: Any) -> None:
    for sheet in entry_sheets(document):
        for at in range(FIRST, extent(sheet)[0] + 1):
            sheet.Rows.getByIndex(at).IsVisible = False


@operation
def unhide_key_row(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Rows.getByIndex(KEYS).IsVisible = True
        sheet.Columns.getByIndex(0).IsVisible = True


@operation
def delete_key_row(document: Any) -> None:
    for sheet in entry_sheets(document):
        sheet.Rows.removeByIndex(KEYS, 1)


@operation
def move_lines_beyond_the_prepared_area(document: Any) -> None:
    for sheet in entry_sheets(document):
        row, column = extent(sheet)
        if not is_pairs(sheet) and row >= FIRST:
            move(sheet, 0, FAR, block(sheet, 0, FIRST, column, row))


@operation
def many_things_at_once(document: Any) -> None:
    for does in (
        rename_sheets,
        insert_column_between,
        hide_rows,
        move_sheets,
        sort_lines,
        insert_rows_above,
    ):
        does(document)


# ------------------------------------------------------------------------------ run
def connect(pipe: str) -> Any:
    """The desktop of the office that listens on the pipe."""
    here = uno.getComponentContext()
    resolver = here.ServiceManager.createInstanceWithContext(
        "com.sun.star.bridge.UnoUrlResolver", here
    )
    address = f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext"
    for _ in range(150):
        try:
            there = resolver.resolve(address)
            break
        except Exception:
            time.sleep(0.2)
    else:
        raise SystemExit("LibreOffice did not answer")
    return there.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", there)


def main(pipe: str, folder: str, farm: str, *names: str) -> None:
    desktop = connect(pipe)
    hidden = value("Hidden", True)
    try:
        for name in names:
            document = desktop.loadComponentFromURL(Path(farm).as_uri(), "_blank", 0, (hidden,))
            OPERATIONS[name](document)
            as_xlsx = value("FilterName", "Calc MS Excel 2007 XML")
            document.storeToURL((Path(folder) / f"{name}.xlsx").as_uri(), (as_xlsx,))
            document.close(True)
    finally:
        desktop.terminate()


if __name__ == "__main__":
    main(*sys.argv[1:])
