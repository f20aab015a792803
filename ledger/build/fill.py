"""Write the lines that a sheet is pre-filled with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from ledger import measure
from ledger.build import products
from ledger.build.cells import entry_format, write_entry
from ledger.build.notes import write_note
from ledger.build.plan import FIRST_ROW, Plan
from ledger.look import Look
from ledger.model import BookProduct, Column, Sheet

INDENT = 2.0  # characters
HIGHEST_ROW_PT = 400.0  # a limit of the file format, rounded down

Line = Mapping[str, object]


def fill(worksheet: Any, look: Look, plan: Plan, sheet: Sheet, widths: Sequence[float]) -> None:
    """Write the entries of a sheet, and the book products where the sheet asks for them."""
    for row, (book, line) in enumerate(_lines(plan, sheet), start=FIRST_ROW):
        for at, column in enumerate(sheet.columns):
            form = _format(column, book)
            write_entry(worksheet, row, at, line.get(column.id), look, form)
        if book:
            at = list(sheet.by_id).index(products.NAME)
            write_note(worksheet, row, at, products.note(book))
        _set_height(worksheet, row, line, sheet, widths)


def _lines(plan: Plan, sheet: Sheet) -> Iterable[tuple[BookProduct | None, Line]]:
    if sheet.prefill == "products":
        return products.lines(plan, sheet)
    return ((None, line) for line in plan.entries.get(sheet.id, ()))


def _format(column: Column, book: BookProduct | None) -> str:
    return "entry_density" if book and column.id == products.DENSITY else entry_format(column)


def _set_height(
    worksheet: Any, row: int, line: Line, sheet: Sheet, widths: Sequence[float]
) -> None:
    """Make a line as high as its longest text needs; not every program does so by itself."""
    texts = [str(line.get(column.id, "")) for column in sheet.columns]
    rooms = [width - INDENT for width in widths]
    if max(map(measure.lines, texts, rooms)) > 1:
        worksheet.set_row(row, min(HIGHEST_ROW_PT, max(map(measure.height, texts, rooms))))
