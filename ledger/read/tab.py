"""A worksheet as lines of cells, read as far as there is anything on it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger.model import Aligned
from ledger.read.preflight import Place
from ledger.read.scan import LAST_ROW, SheetScan
from ledger.read.values import Cells, Line, Values, visible

__all__ = [
    "Cells",
    "Line",
    "Tab",
    "holding",
    "is_blank",
    "kept_in",
    "on_its_side",
    "texts_in",
    "visible",
]


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


def texts_in(lines: Iterable[Line]) -> set[str]:
    """All texts that stand in some lines, each once."""
    cells = set().union(*(kept_in(cells) for _, cells in lines))
    return {cell for cell in cells if isinstance(cell, str)}


def holding(lines: Sequence[Line], texts: Collection[str]) -> list[Line]:
    """The lines that hold any of some texts."""
    wanted = frozenset(texts)
    return [line for line in lines if not wanted.isdisjoint(kept_in(line[1]))]


def kept_in(cells: Cells) -> Iterable[Any]:
    """What stands in the cells of a line."""
    return cells.kept if isinstance(cells, Aligned) else cells.values()


def on_its_side(lines: list[Line]) -> list[Line]:
    """Columns as lines, counted from 1: how a sheet of questions and answers is read."""
    turned: dict[int, dict[int, Any]] = {}
    for number, cells in lines:
        for at, cell in cells.items():
            turned.setdefault(at + 1, {})[number] = cell
    return sorted(turned.items())
