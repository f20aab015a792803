"""One sheet of a workbook as it is stored: what the cells show, and their formulas."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any

import openpyxl


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """The cells of one sheet; ``values`` are what was shown when it was last saved."""

    formulas: Mapping[str, Any]
    values: Mapping[str, Any]

    def texts_above(self, cell: str) -> Iterator[str]:
        """The texts above a cell in its column, the nearest first."""
        for row in range(row_of(cell) - 1, 0, -1):
            value = self.values.get(f"{column_of(cell)}{row}")
            if isinstance(value, str):
                yield value


@lru_cache(maxsize=2)
def stored_sheet(content: bytes, name: str) -> Stored:
    """A sheet of a workbook, read once however many cells are asked for."""
    formulas, values = (_cells(content, name, values=values) for values in (False, True))
    return Stored(formulas=formulas, values=values)


def column_of(cell: str) -> str:
    """The letters of a cell's address."""
    return cell.rstrip("0123456789")


def row_of(cell: str) -> int:
    """The row of a cell's address, counted from 1."""
    return int(cell[len(column_of(cell)) :])


def _cells(content: bytes, name: str, *, values: bool) -> Mapping[str, Any]:
    book = openpyxl.load_workbook(BytesIO(content), read_only=True, data_only=values)
    return {
        cell.coordinate: cell.value
        for row in book[name].iter_rows()
        for cell in row
        if cell.value is not None
    }
