"""Tables of unlike columns on one printed page: a fine grid that cells span, and page breaks.

A worksheet has one set of column widths. Where tables stand below each other, every edge of
any table becomes an edge of the grid, and cells are merged over the grid columns they cover.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise
from typing import Any

from ledger import measure
from ledger.look import Look
from ledger.report.pages import CELL_MARGIN_PX, PIXELS_A_CHARACTER, Pages, kept, room_of
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.write import format_of, heading_lines, line_height, wrapped_in, write_cell

INDENT = 2  # characters that text stands off the edge of its cell
NARROW = 0.85  # of the page: what fits it in every typeface without being made smaller
SHORT_PT = 240  # what a table may be high to stay on one page
# Looks of cells on paper: text stands a little off the number beside it.
ON_PAPER = {"wrapped": "words", "date": "day"}


def pixels(heading: Heading) -> int:
    """The width of a column on screen."""
    return heading.width * PIXELS_A_CHARACTER + CELL_MARGIN_PX


def edges(tables: Sequence[Table]) -> list[int]:
    """All column edges of the tables in pixels from the left, the outer ones included."""
    found = {0}
    for table in tables:
        found.update(accumulate(pixels(heading) for heading in table.headings))
    return sorted(found)


def spans(table: Table, grid: Sequence[int]) -> list[tuple[int, int]]:
    """First and last grid column of each column of a table."""
    place = {edge: number for number, edge in enumerate(grid)}
    own = [0, *accumulate(pixels(heading) for heading in table.headings)]
    return [(place[left], place[right] - 1) for left, right in pairwise(own)]


@dataclass(slots=True, kw_only=True)
class Page:
    """Where the pen stands: the next row, and the pages so far."""

    worksheet: Any
    look: Look
    grid: Sequence[int]
    pages: Pages
    row: int = 0

    @classmethod
    def on(cls, worksheet: Any, look: Look, grid: Sequence[int]) -> Page:
        """The first page of a sheet."""
        pages = Pages(room=room_of(grid[-1]))
        return cls(worksheet=worksheet, look=look, grid=grid, pages=pages)

    def advance(self, height: float) -> int:
        """Give the next row a height and return it."""
        self.worksheet.set_row(self.row, height)
        self.row += 1
        self.pages.used += height
        return self.row - 1


def write_words(page: Page, words: Sequence[str]) -> None:
    """Words above the tables, a row each."""
    for text in words:
        row = page.advance(measure.LINE_PT)
        page.worksheet.write_string(row, 0, text, page.look["plain"])


def write_table(page: Page, table: Table) -> None:
    """A table with its title; headings stand again on every page that it runs on to.

    A table without lines is its title and note alone. All text may wrap: paper does not scroll.
    """
    table = replace(table, headings=[_wrapping(heading) for heading in table.headings])
    wrapped = [(at, width - INDENT) for at, width in wrapped_in(table.headings)]
    heights = [max(line_height(line, wrapped), measure.ONE_LINE_PT) for line in table.lines]
    top = 20 + measure.LINE_PT * (1 + bool(table.note) + heading_lines(table.headings))
    if not page.pages.fits(top + kept(heights, SHORT_PT)):
        page.pages.turn(page.row)
    elif page.pages.used:
        page.advance(measure.LINE_PT)
    _top(page, table, table.title)
    where = spans(table, page.grid)
    for line, height in zip(table.lines, heights, strict=True):
        if not page.pages.fits(height):
            page.pages.turn(page.row)
            _top(page, table, f"{table.title} (continued)" if table.title else "")
        _line(page, line, table.headings, where, height)


def _wrapping(heading: Heading) -> Heading:
    return replace(heading, format="wrapped") if heading.format == "text" else heading


def _top(page: Page, table: Table, title: str) -> None:
    if title:
        page.worksheet.write_string(page.advance(20), 0, title, page.look["subtitle"])
    if table.note and not title.endswith("(continued)"):
        row = page.advance(measure.LINE_PT)
        page.worksheet.write_string(row, 0, table.note, page.look["plain"])
    if table.lines:
        row = page.advance(measure.LINE_PT * heading_lines(table.headings))
        for (first, last), heading in zip(spans(table, page.grid), table.headings, strict=True):
            _put(page, row, first, last, heading.text, "heading")


def _line(
    page: Page,
    line: Line,
    headings: Sequence[Heading],
    where: Sequence[tuple[int, int]],
    height: float,
) -> None:
    row = page.advance(height)
    for (first, last), (cell, name) in zip(where, _looks(line, headings), strict=True):
        _put(page, row, first, last, cell, name)


def _looks(line: Line, headings: Sequence[Heading]) -> Iterator[tuple[Cell, str]]:
    for index, (cell, heading) in enumerate(zip(line.cells, headings, strict=True)):
        wanted = line.format if line.format and isinstance(cell, (int, float)) else heading.format
        name = format_of(cell, wanted, line, index)
        yield cell, ON_PAPER.get(name, name)


def _put(page: Page, row: int, first: int, last: int, cell: Cell, name: str) -> None:
    format_ = page.look[name]
    if last > first:
        page.worksheet.merge_range(row, first, row, last, "", format_)
    write_cell(page.worksheet, row, first, cell, format_)
