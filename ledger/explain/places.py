"""Where every cell of a result sheet lies, by the same arithmetic that writes it.

tests/test_explain.py opens a written workbook and finds each cell here with the same value.
"""

from __future__ import annotations

from dataclasses import dataclass

from ledger.layout import letter
from ledger.report.links import line_rows
from ledger.report.tables import Cell, Heading, Line, Link, ResultSheet, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """One cell of a table: its value, line, heading and table."""

    value: Cell
    line: Line
    heading: Heading
    table: Table

    @property
    def head(self) -> str:
        """The words in the first cell of the line."""
        return self._words(0)

    @property
    def second(self) -> str:
        """The words in the second cell of the line."""
        return self._words(1)

    def _words(self, index: int) -> str:
        cells = self.line.cells[index : index + 1]
        texts = [cell.text if isinstance(cell, Link) else cell for cell in cells]
        return next((text for text in texts if isinstance(text, str)), "")

    @property
    def label(self) -> str:
        """The words that head the line."""
        return ", ".join(filter(None, (self.head, self.second)))

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
