"""Explain one cell: the postings, factors and sources it took part in, in words.

``explain(reading, results, definitions, sheet, cell, content)`` gives an ``Explanation`` for a
cell of an entry sheet (what the line posted, and where else the cell was a factor), a live cell
(the figure that its formula shows), a published figure, or a cell of a result sheet (how the
number follows, from which postings). Raises ``NothingThere`` otherwise.
"""

from __future__ import annotations

import re
from typing import NoReturn

from ledger.explain.cab import explain_cab
from ledger.explain.entry import explain_entry
from ledger.explain.live import explain_live
from ledger.explain.overview import explain_overview
from ledger.explain.reference import explain_reference
from ledger.explain.result import explain_result
from ledger.explain.telling import Explanation, NothingThere
from ledger.layout import fold
from ledger.live import cab, overview, reference
from ledger.live.own import with_own_figures
from ledger.model import Definitions, Reading, Results

__all__ = ["Explanation", "NothingThere", "explain", "split_address"]

CELL = re.compile(r"[A-Z]{1,3}[1-9][0-9]{0,6}")  # no sheet reaches further
BUILT = {
    overview.SHEET_ID: explain_overview,
    cab.SHEET_ID: explain_cab,
    reference.SHEET_ID: explain_reference,
}


def split_address(text: str) -> tuple[str, str]:
    """Sheet and cell of an address such as ``'Field balance'!G12``."""
    sheet, mark, cell = text.rpartition("!")
    bare = cell.replace("$", "").strip().upper()
    if not mark or not CELL.fullmatch(bare):
        raise NothingThere(
            f"{text!r} is not a cell; write the sheet and the cell, such as 'Field balance'!G12"
        )
    return sheet.strip("'").replace("''", "'"), bare


def explain(
    reading: Reading,
    results: Results,
    definitions: Definitions,
    sheet: str,
    cell: str,
    content: bytes,
) -> Explanation:
    """How a cell came about or what became of it; ``content`` is the workbook that was read."""
    wanted = fold(sheet)
    for sheet_id, name in reading.result_sheets.items():
        if fold(name) != wanted:
            continue
        if sheet_id in BUILT:
            told = BUILT[sheet_id](results, definitions, name, cell, content)
            return told or _nothing(f"{name}!{cell} is no figure of the ledger")
        own, _ = with_own_figures(definitions, results.book.own_figures)
        return explain_result(results, own, sheet_id, name, cell)
    for sheet_id, grid in reading.grids.items():
        if fold(grid.sheet_name) == wanted:
            told = explain_entry(results, definitions, sheet_id, grid, cell) or explain_live(
                results, definitions, grid, cell, content
            )
            return told or _nothing(f"{grid.sheet_name}!{cell} holds nothing that was entered")
    names = ", ".join(reading.names)
    if wanted in map(fold, reading.names):
        raise NothingThere(f"on the sheet {sheet} nothing is entered or reckoned")
    raise NothingThere(f"no sheet of the workbook is called {sheet!r}; it has {names}")


def _nothing(words: str) -> NoReturn:
    raise NothingThere(words)
