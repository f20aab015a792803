"""Printed pages: a title never stands alone at the foot of one, and short tables stay whole."""

from __future__ import annotations

import io
from functools import cache
from typing import Any

import openpyxl
import pytest
from papers import EXAMPLE
from workbooks import SHIPPED

from ledger import pipeline
from ledger.cli.new import workbook_for
from ledger.report import result_sheets
from ledger.report.pages import PAGE_HEIGHT_PT, PAGE_WIDTH_PX, kept
from ledger.report.paper import paper
from ledger.report.tables import Heading, Line, ResultSheet, Table
from ledger.report.write import PAGE_WIDTH

SHEETS = ("summary", "field-balance", "nitrogen-to-go", "stores", "farm-gate", "how-sure")
USUAL_ROW_PT = 15.0


@cache
def example() -> tuple[Any, dict[str, ResultSheet]]:
    """The balanced example as a spreadsheet program opens it, and its result sheets."""
    blank = workbook_for(SHIPPED, year=None, units=None, folder=EXAMPLE)
    done = pipeline.run(blank, SHIPPED)
    book = openpyxl.load_workbook(io.BytesIO(pipeline.with_results(blank, done, SHIPPED)))
    return book, {sheet.id: sheet for sheet in result_sheets(done.results, SHIPPED)}


def page_of_rows(worksheet: Any, rows: int, breaks: set[int]) -> dict[int, int]:
    """The page every row is printed on, in the typeface that the workbook names."""
    widths = [dim.width for dim in worksheet.column_dimensions.values() for _ in _columns(dim)]
    fit = sum(widths) > PAGE_WIDTH
    room = PAGE_HEIGHT_PT / (min(1.0, PAGE_WIDTH_PX / (sum(widths) * 7)) if fit else 1.0)
    page, used, found = 1, 0.0, {}
    for row in range(1, rows + 1):
        dimension = worksheet.row_dimensions[row]
        height = 0.0 if dimension.hidden else dimension.height or USUAL_ROW_PT
        if row - 1 in breaks or used + height > room:
            page, used = page + 1, 0.0
        used += height
        found[row] = page
    return found


def _columns(dimension: Any) -> range:
    return range(dimension.min, dimension.max + 1)


def alone(sheet: ResultSheet, worksheet: Any, breaks: set[int]) -> list[str]:
    """Titles of tables whose first line stands on another page."""
    pages = page_of_rows(worksheet, worksheet.max_row, breaks)
    told = {str(cell.value): cell.row for (cell,) in worksheet.iter_rows(max_col=1)}
    found = []
    for table in sheet.tables:
        first = told[table.title] + 2 + bool(table.note)
        if table.lines and pages[told[table.title]] != pages[first]:
            found.append(table.title)
    return found


@pytest.mark.parametrize("name", SHEETS)
def test_no_title_stands_alone_at_the_foot_of_a_page(name: str) -> None:
    book, sheets = example()
    worksheet = book[sheets[name].name]
    assert alone(sheets[name], worksheet, {one.id for one in worksheet.row_breaks.brk}) == []


def test_a_title_that_stands_alone_is_found_out() -> None:
    """Of every row that may begin a page, one parts the title of the second table from it."""
    book, sheets = example()
    worksheet = book[sheets["farm-gate"].name]
    title = sheets["farm-gate"].tables[1].title
    (row,) = [cell.row for (cell,) in worksheet.iter_rows(max_col=1) if cell.value == title]
    assert title in alone(sheets["farm-gate"], worksheet, {row})


@pytest.mark.parametrize("name", ["field-balance", "farm-gate"])
def test_a_table_that_fits_on_a_page_is_not_parted(name: str) -> None:
    book, sheets = example()
    worksheet = book[sheets[name].name]
    breaks = {one.id for one in worksheet.row_breaks.brk}
    pages = page_of_rows(worksheet, worksheet.max_row, breaks)
    told = {str(cell.value): cell.row for (cell,) in worksheet.iter_rows(max_col=1)}
    for table in sheets[name].tables[:4]:
        first = told[table.title]
        last = first + 1 + bool(table.note) + len(table.lines)
        assert pages[first] == pages[last], table.title


def test_of_a_long_table_the_first_lines_are_kept() -> None:
    assert kept([10.0] * 5, most=50) == 50
    assert kept([10.0] * 6, most=50) == 30


def test_a_short_table_on_paper_begins_on_the_next_page_rather_than_part() -> None:
    headings = [Heading(text="What", format="wrapped", width=30)]
    long, short = (
        Table(title=title, headings=headings, lines=[Line(cells=[f"{title} {n}"])] * n)
        for title, n in (("Before", 17), ("Short", 8))
    )
    sheet = ResultSheet(id="annual-report", name="Paper", words=[], tables=[long, short])
    content = paper([sheet], "us", SHIPPED, "footer")
    worksheet = openpyxl.load_workbook(io.BytesIO(content))["Paper"]
    told = [cell.value for (cell,) in worksheet.iter_rows(max_col=1)]
    assert not [text for text in told if "continued" in str(text)]
    assert [one.id for one in worksheet.row_breaks.brk] == [told.index("Short")]
