"""Live figures of a recalculated workbook beside the figures of ``balance``."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isclose
from pathlib import Path
from typing import Any

import openpyxl

from ledger.build.plan import FIRST_ROW, KEY_ROW
from ledger.model import FIGURES, Definitions

Cells = Mapping[str, Any]
TOLERANCE = 1e-6
ERRORS = ("#", "Err:")
FOR_BALANCE = ("see balance", "see zones", "see lines", "see fields")


def opened(file: Path) -> Any:
    """The values of a workbook that a spreadsheet program saved."""
    return openpyxl.load_workbook(file, data_only=True)


def lines(book: Any, sheet_title: str) -> list[dict[str, Any]]:
    """The lines of an entry sheet: cells by column id, entered and live, and ``row``."""
    sheet = book[sheet_title]
    rows = sheet.iter_rows(min_row=KEY_ROW + 1, values_only=True)
    keys = [_name(cell) for cell in next(rows)]
    next(rows)
    found = []
    for number, cells in enumerate(rows, start=FIRST_ROW + 1):
        line = {key: cell for key, cell in zip(keys, cells, strict=False) if key}
        if any(not key.startswith("_") and cell is not None for key, cell in line.items()):
            found.append({**line, "row": number})
    return found


def _name(cell: Any) -> str:
    if isinstance(cell, str) and cell.startswith("=live_"):
        return cell.removeprefix("=live")
    return cell[1:] if isinstance(cell, str) and cell.startswith("#") else ""


def zones_compared(
    book: Any, document: Mapping[str, Any], data: Definitions
) -> Iterator[tuple[str, Any, float | None]]:
    """(what, live figure, figure of balance) of every zone, nutrient and figure."""
    fields = {str(line["field"]): line for line in lines(book, data.sheets["fields"].title)}
    zones = {
        (str(line["field"]), str(line["zone"])): line
        for line in lines(book, data.sheets["zones"].title)
    }
    for zone in document["zones"]:
        key = (zone["field"], zone["zone"])
        line = zones[key] if key in zones else fields[zone["field"]]
        for nutrient, figures in zone["nutrients"].items():
            for figure in FIGURES:
                live = line[f"_{figure}_{nutrient}"]
                yield f"{key} {nutrient} {figure}", live, figures[figure]


def farm_compared(
    book: Any, document: Mapping[str, Any], data: Definitions
) -> Iterator[tuple[str, Any, float | None]]:
    """The same of the farm's totals on the Overview."""
    from ledger.build.overview_sheet import NAME, TOTALS_ROW
    from ledger.live.overview import FIGURE_WORDS as SHOWN

    sheet = book[NAME]
    for row, nutrient in enumerate(data.nutrients, start=TOTALS_ROW + 2):
        for column, figure in enumerate(SHOWN, start=3):
            live = sheet.cell(row, column).value
            told = document["farm"]["nutrients"][nutrient][f"{figure}_total"]
            yield f"farm {nutrient} {figure}", live, told


def stores_compared(
    book: Any, document: Mapping[str, Any], data: Definitions
) -> Iterator[tuple[str, Any, float | None]]:
    """The same of the level of every store."""
    told = {store["store"]: store["closing"] for store in document["stores"]}
    for line in lines(book, data.sheets["stores"].title):
        yield f"store {line['store']}", line["_level"], told[str(line["store"])]


def disagrees(live: Any, told: float | None) -> bool:
    """True unless both are the same number, or the live one is a word.

    A word is right where balance knows no number, and where it says that balance does.
    """
    if isinstance(live, str):
        if not live or live.startswith(ERRORS):
            return True
        return told is not None and live not in FOR_BALANCE
    if live is None or told is None:
        return True
    return not isclose(live, told, rel_tol=TOLERANCE, abs_tol=TOLERANCE)
