"""Carry: what next year's workbook begins with, made from this year's results.

``carry(results, definitions) -> Carried``. Lists that describe the farm go over as they were
typed; what lasts is reckoned: the manure history, the stores' closing, soil tests still in
date, the crop before. Lines of this year's work stay in the old book. Faulty lines are
dropped and told of.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ledger.carry.cells import Cells, as_typed
from ledger.carry.crops import crops_before
from ledger.carry.farm import farm_answers, stock_lines
from ledger.carry.manure import manure_history, manure_samples
from ledger.carry.soil import soil_tests
from ledger.carry.stores import store_openings
from ledger.carry.take import Taken
from ledger.model import Definitions, Results, Sheet

__all__ = ["Carried", "carry"]

WORK = "this year's work stays in its own book"
Taker = Callable[[Results, Definitions], Taken]
TAKERS: Mapping[str, Taker] = {
    "farm": farm_answers,
    "soil_tests": soil_tests,
    "crops": crops_before,
    "manure_samples": manure_samples,
    "past_manure": manure_history,
    "stores": store_openings,
    "gate": stock_lines,
}


@dataclass(frozen=True, kw_only=True, eq=False)
class Carried:
    """Entries for the next crop year in the units of the headings, and what became of each
    sheet: its title, lines carried, lines dropped, why."""

    year: int
    entries: Mapping[str, list[Cells]]
    sheets: Mapping[str, Taken]

    def told(self, definitions: Definitions) -> list[str]:
        """One line for people a sheet that had or has something."""
        return [
            _told(definitions.sheets[name], taken)
            for name, taken in self.sheets.items()
            if taken.lines or taken.dropped
        ]


def carry(results: Results, definitions: Definitions) -> Carried:
    """What the crop year after ``results`` begins with."""
    taken = {sheet.id: _taken(sheet, results, definitions) for sheet in definitions.sheets.values()}
    return Carried(
        year=results.book.year + 1,
        entries={name: list(one.lines) for name, one in taken.items() if one.lines},
        sheets=taken,
    )


def _taken(sheet: Sheet, results: Results, definitions: Definitions) -> Taken:
    if sheet.id in TAKERS:
        return TAKERS[sheet.id](results, definitions)
    lines = results.book.entries.get(sheet.id, ())
    if not sheet.carry:
        return Taken(lines=[], dropped={WORK: len(lines)} if lines else {})
    return Taken.of(lines, as_typed, sheet)


def _told(sheet: Sheet, taken: Taken) -> str:
    parts = [f"{sheet.title}: {len(taken.lines)} carried"]
    parts += [f"{count} dropped ({why})" for why, count in taken.dropped.items()]
    parts += taken.remarks
    return "; ".join(parts)
