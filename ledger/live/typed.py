"""Which typed columns the live formulas look into."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from ledger.live.now import now_rows
from ledger.live.places import names_in
from ledger.live.sheets import live_columns
from ledger.model import Definitions, System


@cache
def typed_columns(definitions: Definitions, system: System) -> Mapping[str, frozenset[str]]:
    """Ids of the entry columns that a live formula names, by the id of their sheet."""
    sheets = definitions.sheets
    found: dict[str, set[str]] = {}
    for sheet, formula in _formulas(definitions, system):
        for name in names_in(formula):
            other, _, column = name.rpartition(".")
            at = other or sheet
            if at in sheets and column in sheets[at].by_id:
                found.setdefault(at, set()).add(column)
    return {sheet: frozenset(columns) for sheet, columns in found.items()}


def _formulas(definitions: Definitions, system: System) -> Iterator[tuple[str, str]]:
    """Every formula that may name a typed cell, with the sheet it stands on."""
    for sheet, columns in live_columns(definitions, system).items():
        yield from ((sheet, column.formula) for column in columns)
    for _, cell in now_rows(definitions, system, never=0):
        yield "", str(cell)
