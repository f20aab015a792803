"""A paper: a workbook made new from result sheets, ready to print, the same for the same input."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from io import BytesIO
from itertools import pairwise
from textwrap import wrap
from typing import Any

from ledger import measure
from ledger.layout import mark
from ledger.look import Look, set_up_page
from ledger.model import Definitions, System
from ledger.report.grid import NARROW, Page, edges, write_table, write_words
from ledger.report.pages import PAGE_WIDTH_PX, PIXELS_A_CHARACTER
from ledger.report.tables import ResultSheet

# Workbooks carry the moment they were made; a fixed one keeps equal input at equal bytes.
MADE = datetime(2000, 1, 1)


def paper(
    sheets: Sequence[ResultSheet], system: System, definitions: Definitions, footer: str
) -> bytes:
    """The bytes of a workbook that holds these sheets alone, each a page or more to print."""
    import xlsxwriter

    target = BytesIO()
    options = {"in_memory": True, "default_date_format": "yyyy-mm-dd"}
    workbook = xlsxwriter.Workbook(target, options)
    workbook.set_properties({"title": sheets[0].name, "created": MADE})
    look = Look(workbook)
    for sheet in sheets:
        worksheet = workbook.add_worksheet(sheet.name)
        _write(worksheet, look, sheet, mark(f"={sheet.id}", system, definitions), footer)
    workbook.close()
    return target.getvalue()


def _write(worksheet: Any, look: Look, sheet: ResultSheet, marked: str, footer: str) -> None:
    grid = edges(sheet.tables)
    for number, (left, right) in enumerate(pairwise(grid)):
        worksheet.set_column_pixels(number, number, right - left)
    worksheet.hide_gridlines(2)
    set_up_page(worksheet, sheet.name, footer, fit=grid[-1] > PAGE_WIDTH_PX * NARROW)
    page = Page.on(worksheet, look, grid)
    worksheet.write_string(page.advance(24), 0, sheet.name, look["title"])
    worksheet.set_row(page.row, None, None, {"hidden": True})
    worksheet.write_string(page.row, 0, marked, look["key"])
    page.row += 1
    room = int(max(grid[-1], PAGE_WIDTH_PX) / PIXELS_A_CHARACTER / measure.SLIM)
    write_words(page, [line for text in sheet.words for line in wrap(text, room) or [""]])
    for table in sheet.tables:
        write_table(page, table)
    worksheet.set_h_pagebreaks(page.pages.breaks)
