"""Where every cell of a result sheet lies, by the same arithmetic that writes it.

tests/test_explain.py opens a written workbook and finds each cell here with the same value.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.layout import letter
from ledger.report.links import line_rows
from ledger.report.tables import Cell, Heading, Line, ResultSheet, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One cell of a table: its value, line, heading and table."""

    value: Cell
    line: Line
    heading: Heading
    table: Table

    @property
    def label(self) -> str:
        """The words that head the line."""
        texts = [cell for cell in self.line.cells[:2] if isinstance(cell, str) and cell]
        return ", ".join(texts)

    @property
    def told(self) -> str:
        """Table, line and heading in one phrase."""
        return "; ".join(filter(None, (self.table.title, self.label, self.heading.text)))


def places(sheet: ResultSheet) -> dict[str, Place]:
    """Every cell below a heading, by its address."""
    found: dict[str, Place] = {}
    for row, table, line in line_rows(sheet):
        for index, (cell, heading) in enumerate(zip(line.cells, table.headings, strict=True)):
            place = Place(value=cell, line=line, heading=heading, table=table)
            found[f"{letter(index)}{row + 1}"] = place
    return found
