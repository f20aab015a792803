"""Links from result sheet to result sheet: found when all lines of all sheets are known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache

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


@lru_cache(maxsize=20_000)  # every zone is named in several lines of every sheet
def zone_jump(field: str, zone: str, sheet: str = "postings") -> Jump:
    """The name of a zone that leads to its line on another sheet, first of all to its postings."""
    return Jump(zone, sheet=sheet, about=(("field", field), ("zone", zone)))


def joined(sheets: Sequence[ResultSheet]) -> list[ResultSheet]:
    """The sheets with every jump a link to the first line that is about what it asks for.

    A jump to a line that is not there stays its text.
    """
    asked: dict[str, set[About]] = {}
    for jump in _jumps(sheets):
        asked.setdefault(jump.sheet, set()).add(jump.about)
    found: dict[Goal, str] = {}
    for sheet in sheets:
        for goal, cell in _lines_about(sheet, asked.get(sheet.id, ())):
            found.setdefault((sheet.id, goal), cell)
    link = _Links(found, {sheet.id: sheet.name for sheet in sheets})
    return [
        replace(sheet, tables=[replace(t, lines=[*map(link.line, t.lines)]) for t in sheet.tables])
        for sheet in sheets
    ]


def _jumps(sheets: Sequence[ResultSheet]) -> Iterator[Jump]:
    for sheet in sheets:
        for table in sheet.tables:
            for line in table.lines:
                if _jumps_in(line):
                    yield from (cell for cell in line.cells if isinstance(cell, Jump))


def _jumps_in(line: Line) -> bool:
    return Jump in map(type, line.cells)


def _lines_about(sheet: ResultSheet, asked: Collection[About]) -> Iterator[tuple[About, str]]:
    """What was asked for with the cell of each line that is about it."""
    kinds = {tuple(key for key, _ in about) for about in asked}
    for row, _, line in line_rows(sheet) if asked else ():
        told = dict(line.about)
        for keys in kinds:
            about = tuple((key, told.get(key, "")) for key in keys)
            if about in asked:
                yield about, f"A{row + 1}"


class _Links:
    """Links in place of jumps: one for all lines that jump to the same place."""

    def __init__(self, found: Mapping[Goal, str], names: Mapping[str, str]) -> None:
        self._found = found
        self._names = names
        self._known: dict[tuple[str, Goal], Link] = {}

    def line(self, line: Line) -> Line:
        """A line with its jumps as links."""
        if not _jumps_in(line):
            return line
        cells = [self._link(cell) if isinstance(cell, Jump) else cell for cell in line.cells]
        return Line(cells=cells, kind=line.kind, format=line.format, about=line.about)

    def _link(self, jump: Jump) -> Cell:
        goal = jump.sheet, jump.about
        if goal not in self._found:
            return jump
        if (jump, goal) not in self._known:
            link = Link(text=str(jump), sheet=self._names[jump.sheet], cell=self._found[goal])
            self._known[jump, goal] = link
        return self._known[jump, goal]
