"""One sheet of a workbook as it is stored: what the cells show, and their formulas."""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from io import BytesIO
from typing import Any

import openpyxl

from ledger.layout import letter

MOST_COLUMNS = 512  # nothing of the ledger lies further right; a stray cell may


@dataclass(frozen=True, slots=True, kw_only=True)
class Stored:
    """The cells of one sheet; ``values`` are what was shown when it was last saved."""

    formulas: Mapping[str, Any]
    values: Mapping[str, Any]

    def is_formula(self, cell: str) -> bool:
        """Whether a cell holds a formula."""
        return str(self.formulas.get(cell, "")).startswith("=")

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
    """The cells that hold something.

    Before a stray cell far down openpyxl gives one and the same blank row a million times.
    """
    # openpyxl warns of what it would drop on saving; it never saves a person's workbook.
    warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
    book = openpyxl.load_workbook(
        BytesIO(content), read_only=True, data_only=values, keep_links=False
    )
    tab = book[name]
    width = min(tab.max_column or MOST_COLUMNS, MOST_COLUMNS)
    found: dict[str, Any] = {}
    blank: Sequence[Any] = ()
    for number, row in enumerate(tab.iter_rows(max_col=width, values_only=True), start=1):
        if row is blank:
            continue
        filled = [(at, value) for at, value in enumerate(row) if value is not None]
        found |= {f"{letter(at)}{number}": value for at, value in filled}
        blank = blank if filled else row
    return found
