"""The farm's answers, and stock on hand that the new year starts with."""

from __future__ import annotations

from ledger.carry.cells import as_typed
from ledger.carry.take import FAULTY, Taken
from ledger.model import Definitions, Results

END, START = "on hand at end", "on hand at start"


def farm_answers(results: Results, definitions: Definitions) -> Taken:
    """All sound answers; year and units are the new workbook's own."""
    farm = results.book.farm
    answers = as_typed(farm, definitions.sheets["farm"])
    answers.pop("year", None)
    wrong = len(farm.row.cells) - len(answers) - ("year" in farm.row.cells)
    return Taken(lines=[answers], dropped={FAULTY: wrong} if wrong > 0 else {})


def stock_lines(results: Results, definitions: Definitions) -> Taken:
    """What was on hand at the end is on hand at the start; what crossed the gate stays."""
    sheet = definitions.sheets["gate"]
    lines = results.book.entries.get("gate", ())
    kept = [e for e in lines if not e.faulty and e.text("direction") == END]
    others = len(lines) - len(kept)
    return Taken(
        lines=[{**as_typed(entry, sheet), "direction": START} for entry in kept],
        dropped={"bought, sold and on hand before": others} if others else {},
    )
