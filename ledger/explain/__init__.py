"""Explain one cell: the postings, factors and sources it took part in, in words.

``explain(reading, results, definitions, sheet, cell)`` gives an ``Explanation`` for a cell of
an entry sheet (what the line posted, and where else the cell was a factor) or of a result
sheet (how the number follows, from which postings). Raises ``NothingThere`` otherwise.
"""

from __future__ import annotations

from ledger.explain.entry import explain_entry
from ledger.explain.result import explain_result
from ledger.explain.telling import Explanation, NothingThere
from ledger.layout import fold
from ledger.model import Definitions, Reading, Results

__all__ = ["Explanation", "NothingThere", "explain", "split_address"]


def split_address(text: str) -> tuple[str, str]:
    """Sheet and cell of an address such as ``'Field balance'!G12``."""
    sheet, mark, cell = text.rpartition("!")
    bare = cell.replace("$", "").upper()
    if not mark or not bare[:1].isalpha() or not bare[-1:].isdigit():
        raise NothingThere(
            f"{text!r} is not a cell; write the sheet and the cell, such as 'Field balance'!G12"
        )
    return sheet.strip("'").replace("''", "'"), bare


def explain(
    reading: Reading, results: Results, definitions: Definitions, sheet: str, cell: str
) -> Explanation:
    """How a cell came about or what became of it."""
    wanted = fold(sheet)
    for sheet_id, name in reading.result_sheets.items():
        if fold(name) == wanted:
            return explain_result(results, definitions, sheet_id, name, cell)
    for sheet_id, grid in reading.grids.items():
        if fold(grid.sheet_name) == wanted:
            return explain_entry(results, definitions, sheet_id, grid, cell)
    names = ", ".join(reading.names)
    raise NothingThere(f"no sheet of the ledger is called {sheet!r}; the workbook has {names}")
