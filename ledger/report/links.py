"""Links from result sheet to result sheet: found when all lines of all sheets are known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace

from ledger.report.charts import CHART_ROWS
from ledger.report.tables import Cell, Jump, Line, Link, ResultSheet, Table

About = tuple[tuple[str, str], ...]
Goal = tuple[str, About]
WORDS_ROW = 2  # counted from 0: title, hidden mark, then the words on top


def line_rows(sheet: ResultSheet) -> Iterator[tuple[int, Table, Line]]:
    """Every line of a sheet with its table and its row counted from 0, as it is written."""
    row = WORDS_ROW + len(sheet.words)
    for table in sheet.tables:
        row += 1 + bool(table.title) + bool(table.note)
        for line in table.lines:
            row += 1
            yield row, table, line
        row += 1
        if table.chart and table.lines:
            row += CHART_ROWS


def zone_jump(field: str, zone: str, sheet: str = "postings") -> Jump:
    """The name of a zone that leads to its line on another sheet, first of all to its postings."""
    return Jump(zone, sheet=sheet, about=(("field", field), ("zone", zone)))


def joined(sheets: Sequence[ResultSheet]) -> list[ResultSheet]:
    """The sheets with every jump a link to the first line that is about what it asks for.

    A jump to a line that is not there stays its text.
    """
    asked = {(cell.sheet, cell.about) for sheet in sheets for cell in _jumps(sheet)}
    found: dict[Goal, str] = {}
    for sheet in sheets:
        about = {goal for name, goal in asked if name == sheet.id}
        for goal, cell in _lines_about(sheet, about):
            found.setdefault((sheet.id, goal), cell)
    names = {sheet.id: sheet.name for sheet in sheets}
    return [_linked(sheet, found, names) if _any(sheet) else sheet for sheet in sheets]


def _jumps(sheet: ResultSheet) -> Iterator[Jump]:
    for table in sheet.tables:
        for line in table.lines:
            yield from (cell for cell in line.cells if isinstance(cell, Jump))


def _any(sheet: ResultSheet) -> bool:
    return next(_jumps(sheet), None) is not None


def _lines_about(sheet: ResultSheet, asked: Collection[About]) -> Iterator[tuple[About, str]]:
    """What was asked for with the cell of each line that is about it."""
    kinds = {tuple(key for key, _ in about) for about in asked}
    for row, _, line in line_rows(sheet) if asked else ():
        told = dict(line.about)
        for keys in kinds:
            about = tuple((key, told.get(key, "")) for key in keys)
            if about in asked:
                yield about, f"A{row + 1}"


def _linked(sheet: ResultSheet, found: Mapping[Goal, str], names: Mapping[str, str]) -> ResultSheet:
    def link(cell: Cell) -> Cell:
        if not isinstance(cell, Jump) or (cell.sheet, cell.about) not in found:
            return cell
        place = found[cell.sheet, cell.about]
        return Link(text=str(cell), sheet=names[cell.sheet], cell=place)

    def with_links(line: Line) -> Line:
        asks = any(isinstance(cell, Jump) for cell in line.cells)
        return replace(line, cells=[*map(link, line.cells)]) if asks else line

    tables = [replace(t, lines=[*map(with_links, t.lines)]) for t in sheet.tables]
    return replace(sheet, tables=tables)
