"""A worksheet as lines of cells, read as far as there is anything on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from ledger.read.preflight import Place
from ledger.read.scan import LAST_ROW, SheetScan
from ledger.read.values import Cells, Line, Values, visible

__all__ = ["Cells", "Line", "Tab", "is_blank", "on_its_side", "visible"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tab:
    """A worksheet: its name, what the scan saw, which of its cells workbook names point at."""

    name: str
    scan: SheetScan
    pointers: Mapping[str, Place]
    values: Values

    def lines(self, last: int = LAST_ROW) -> Iterator[Line]:
        """The lines that hold something, down to a row; raises ``Unreadable``."""
        return self.values.lines(self.name, self.scan, last)

    def keep(self) -> None:
        """Take all lines now, in little room; raises ``Unreadable``."""
        self.values.keep(self.name, self.scan)

    def let_go(self) -> None:
        """Forget what was kept."""
        self.values.let_go(self.name)


def is_blank(cell: Any) -> bool:
    """True for an empty cell and for one that holds spaces or invisible characters only."""
    return cell is None or (isinstance(cell, str) and not visible(cell))


def on_its_side(lines: list[Line]) -> list[Line]:
    """Columns as lines, counted from 1: how a sheet of questions and answers is read."""
    turned: dict[int, dict[int, Any]] = {}
    for number, cells in lines:
        for at, cell in cells.items():
            turned.setdefault(at + 1, {})[number] = cell
    return sorted(turned.items())
