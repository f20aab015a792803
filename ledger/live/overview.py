"""Formulas of the Overview: a line a field, the farm's totals, lines the live figures miss."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.live.lines import POSTED
from ledger.live.text import NUMBER, quoted
from ledger.live.words import FIELDS, OK, PLANNED
from ledger.model import FIGURES, TO_GO, Definitions

SHEET_ID = "overview"
FIGURE_WORDS = {
    "applied": "Applied",
    "removal": "Removed",
    "balance": "Balance",
    "need": "Need",
    "supply": "Supplied",
    "to_go": "Still to go",
}
# Sheets of the farmyard and the column that makes a line one.
FARMYARD = {
    "manure_lots": "lot",
    "manure_samples": "lot",
    "stores": "store",
    "store_moves": "store",
}
SOURCES = ("manure_credit", "fertilizer", "credits", "residual")


def farm_total(figure: str, nutrient: str) -> str:
    """A figure of the whole farm as mass; ground worked for others stays out.

    Of what is to go only fields that are short count, as in the sums of the ledger.
    """
    column = f"[fields._{figure}_{nutrient}]"
    whole = f"COUNTIFS([fields._own],1,{column},{NUMBER})=COUNTIFS([fields._own],1)"
    chosen = f"({column}>0)" if figure == TO_GO else "1"
    total = f"SUMPRODUCT(([fields._own]=1)*{chosen},[fields._ground],{column})"
    return f"IF({whole},{total},{quoted(FIELDS)})"


def farm_totals(definitions: Definitions) -> Mapping[tuple[str, str], str]:
    """Every farm total by nutrient and figure."""
    return {(n, f): farm_total(f, n) for n in definitions.nutrients for f in FIGURES}


def farm_area() -> str:
    """The area of the farm's own ground."""
    return "SUMIFS([fields._ground],[fields._own],1)"


def missed() -> str:
    """Lines that stand where no live figure is: put in between, or past the prepared ones."""
    told = dict.fromkeys(("fields", "zones", *POSTED), "field") | FARMYARD
    return "+".join(_missed(sheet, column) for sheet, column in told.items())


def not_counted() -> str:
    """Lines that do not count yet: their live columns show what they lack."""
    return "+".join(
        f'SUMPRODUCT(([{s}._state]<>"")*1)'
        f"-COUNTIF([{s}._state],{quoted(OK)})-COUNTIF([{s}._state],{quoted(PLANNED)})"
        for s in POSTED
    )


def _missed(sheet: str, column: str) -> str:
    word = "_field" if sheet in ("fields", "zones") else "_state"
    seen = f'SUMPRODUCT(([{sheet}.{column}]<>"")*([{sheet}.{word}]<>""))'
    return f'SUMPRODUCT(([{sheet}.={column}]<>"")*1)-{seen}'


def field_line(row: int, columns: Mapping[str, str]) -> Iterator[str]:
    """The cells of the field that stands in a row of the Fields sheet, counted from 1."""
    for column in columns:
        cell = f"INDEX([fields.{column}],{row})"
        yield f'IF({cell}="","",{cell})'
