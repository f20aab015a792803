"""Write result sheets with XlsxWriter: marks, titles, tables, links, page set-up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from ledger import measure
from ledger.apart import Apart
from ledger.layout import mark
from ledger.look import NUMBERS, Look, set_up_page
from ledger.model import Definitions, System
from ledger.report.charts import CHART_ROWS, draw
from ledger.report.pages import CELL_MARGIN_PX, PIXELS_A_CHARACTER, Pages, kept, room_of
from ledger.report.quick import QuickDesk, QuickLines
from ledger.report.tables import (
    UNKNOWN,
    Cell,
    Heading,
    Line,
    Link,
    ResultSheet,
    Rough,
    Table,
    place_of,
)

PAGE_WIDTH = 110  # characters a landscape page takes at full size
TITLE_PT = 20
LINKS_A_SHEET = 60_000  # spreadsheet programs hold about 65,000; the rest stay plain text


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultPackage:
    """A small workbook with the result sheets alone; their rows and links apart, by name."""

    content: bytes
    apart: Mapping[str, Apart]


@contextmanager
def result_package(
    sheets: Iterable[ResultSheet], system: System, definitions: Definitions, footer: str
) -> Iterator[ResultPackage]:
    """The result sheets, to be put into the person's own workbook while this is entered."""
    import xlsxwriter

    target = BytesIO()
    # Where writing stops half way a file may still be open, which Windows would not remove.
    with TemporaryDirectory(prefix="ledger", ignore_cleanup_errors=True) as folder:
        options = {"constant_memory": True, "default_date_format": "yyyy-mm-dd", "tmpdir": folder}
        workbook = xlsxwriter.Workbook(target, options)
        desk = QuickDesk(Look(workbook))
        add_result_sheets(workbook, desk.look, sheets, system, definitions, footer, desk)
        apart = desk.taken(workbook, Path(folder))
        workbook.close()
        yield ResultPackage(content=target.getvalue(), apart=apart)


def add_result_sheets(
    workbook: Any,
    look: Look,
    sheets: Iterable[ResultSheet],
    system: System,
    definitions: Definitions,
    footer: str,
    desk: QuickDesk | None = None,
) -> None:
    """Add one worksheet a result sheet, marked so that a later run finds it again.

    With a ``desk`` lines are written quickly, and their links are kept there.
    """
    for sheet in sheets:
        worksheet = workbook.add_worksheet(sheet.name)
        worksheet.hide_gridlines(2)
        worksheet.set_tab_color("#6B7F8C")
        widths = _widths(worksheet, sheet)
        fit = sum(widths.values()) > PAGE_WIDTH
        set_up_page(worksheet, sheet.name, footer, fit=fit)
        row = _top(worksheet, look, sheet, mark(f"={sheet.id}", system, definitions))
        links = 0
        pages = Pages(room=room_of(_pixels(widths) if fit else 0), used=measure.LINE_PT * row)
        for table in sheet.tables:
            charted = bool(table.chart and table.lines)
            parted = charted or not pages.fits(_together(table, pages))
            if parted and table is not sheet.tables[0]:
                pages.turn(row + 1)
            quick = desk.lines(worksheet) if desk else None
            row, links, height = _table(worksheet, look, row + 1, table, links, quick)
            pages.add(height)
            if charted:
                draw(workbook, worksheet, table, row - len(table.lines))
                row += CHART_ROWS
                pages.add(CHART_ROWS * measure.LINE_PT)
        worksheet.set_h_pagebreaks(pages.breaks)


def _top(worksheet: Any, look: Look, sheet: ResultSheet, mark_: str) -> int:
    """Write what stands above the tables: title, hidden mark, words; gives the row below."""
    worksheet.set_row(0, 24)
    worksheet.write_string(0, 0, sheet.name, look["title"])
    worksheet.set_row(1, None, None, {"hidden": True})
    worksheet.write_string(1, 0, mark_, look["key"])
    for row, text in enumerate(sheet.words, start=2):
        worksheet.write_string(row, 0, text, look["plain"])
    return 2 + len(sheet.words)


def _pixels(widths: Mapping[int, int]) -> int:
    return sum(width * PIXELS_A_CHARACTER + CELL_MARGIN_PX for width in widths.values())


def _together(table: Table, pages: Pages) -> float:
    """What of a table must not part: all of it if a page holds that, else its first lines."""
    top = _top_height(table)
    lines = table.lines[: int(pages.room / measure.LINE_PT) + 1]  # more are on no page
    wrapped = wrapped_in(table.headings)
    heights = [max(line_height(line, wrapped), measure.LINE_PT) for line in lines]
    return top + kept(heights, pages.room - top)


def _top_height(table: Table) -> float:
    """The free row above a table, its title, its note and its headings [points]."""
    title = TITLE_PT if table.title else 0
    return title + measure.LINE_PT * (1 + bool(table.note) + heading_lines(table.headings))


def _widths(worksheet: Any, sheet: ResultSheet) -> dict[int, int]:
    widths: dict[int, int] = {}
    for table in sheet.tables:
        for index, heading in enumerate(table.headings):
            widths[index] = max(widths.get(index, 0), heading.width)
    for index, width in widths.items():
        worksheet.set_column(index, index, width)
    return widths


def _table(
    worksheet: Any, look: Look, row: int, table: Table, links: int, quick: QuickLines | None
) -> tuple[int, int, float]:
    """Write a table; gives the row below it, the links so far, and its height [points]."""
    if table.title:
        worksheet.set_row(row, TITLE_PT)
        worksheet.write_string(row, 0, table.title, look["subtitle"])
        row += 1
    if table.note:
        worksheet.write_string(row, 0, table.note, look["plain"])
        row += 1
    worksheet.set_row(row, 15 * heading_lines(table.headings))
    for index, heading in enumerate(table.headings):
        worksheet.write_string(row, index, heading.text, look["heading"])
    used, wrapped = _top_height(table), wrapped_in(table.headings)
    for line in table.lines:
        row += 1
        if (height := line_height(line, wrapped)) > measure.ONE_LINE_PT:
            worksheet.set_row(row, height)
        used += max(height, measure.LINE_PT)
        links = _line(worksheet, look, row, line, table.headings, links, quick)
    return row + 1, links, used


def heading_lines(headings: Sequence[Heading]) -> int:
    """Lines of text that a row of headings takes."""
    return max(1, *(-(-len(h.text) * 6 // (h.width * 5)) for h in headings))


def wrapped_in(headings: Sequence[Heading]) -> list[tuple[int, int]]:
    """The place and width of every column whose texts are wrapped."""
    return [(at, own.width) for at, own in enumerate(headings) if own.format == "wrapped"]


def line_height(line: Line, wrapped: Sequence[tuple[int, int]]) -> float:
    """Room for wrapped texts; programs do not grow rows that a file gives no height."""
    cells = ((line.cells[at], width) for at, width in wrapped)
    heights = [measure.height(cell, width) for cell, width in cells if isinstance(cell, str)]
    return max(heights, default=0.0)


def _line(
    worksheet: Any,
    look: Look,
    row: int,
    line: Line,
    headings: Sequence[Heading],
    links: int,
    quick: QuickLines | None,
) -> int:
    linked = [at for at, cell in enumerate(line.cells) if isinstance(cell, Link) and cell.cell]
    linked = linked[: LINKS_A_SHEET - links]
    if quick and quick.write(row, line, linked, lambda: format_names(line, headings)):
        return links + len(linked)
    for at in linked:
        link = line.cells[at]
        assert isinstance(link, Link)
        look_ = look[format_of(link, headings[at].format, line, at)]
        worksheet.write_url(row, at, f"internal:{place_of(link)}", look_, link.text)
    for at, (cell, name) in enumerate(zip(line.cells, format_names(line, headings), strict=True)):
        if at not in linked:
            write_cell(worksheet, row, at, cell, look[name])
    return links + len(linked)


def format_names(line: Line, headings: Sequence[Heading]) -> list[str]:
    """The names of the formats of a line's cells."""
    own = line.format
    return [
        format_of(cell, own if own and isinstance(cell, (int, float)) else h.format, line, at)
        for at, (cell, h) in enumerate(zip(line.cells, headings, strict=True))
    ]


def write_cell(worksheet: Any, row: int, index: int, cell: Cell, format_: Any) -> None:
    """Write one cell as what it is; text is never taken for a formula, None reads unknown."""
    if cell is None:
        worksheet.write_string(row, index, UNKNOWN, format_)
    elif isinstance(cell, Link):
        worksheet.write_string(row, index, cell.text, format_)
    elif isinstance(cell, str):
        worksheet.write_string(row, index, cell, format_)
    elif isinstance(cell, date):
        worksheet.write_datetime(row, index, cell, format_)
    else:
        worksheet.write_number(row, index, cell, format_)


def format_of(cell: Cell, wanted: str, line: Line, index: int) -> str:
    """The look of a cell: unknown figures, totals and graded first cells differ."""
    if line.kind in ("error", "warning", "note") and index == 0:
        return line.kind
    if isinstance(cell, Rough) and wanted in NUMBERS:
        return f"total_rough_{wanted}" if line.kind == "total" else f"rough_{wanted}"
    if line.kind == "total":
        if cell is None:
            return "total_unknown"
        named = ("one", "whole", "money", "range")
        return f"total_{wanted}" if wanted in named else "total_text"
    if cell is None:
        return "unknown"
    return "result_link" if isinstance(cell, Link) and cell.cell else wanted
