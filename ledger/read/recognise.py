"""Find our sheets and their columns, whatever a person did to names, order and place.

The first witness is the hidden key row: one machine cell a column (``#amount``) and one
mark cell a sheet. Headings are the second when that row was deleted.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Literal

from ledger import findings
from ledger.layout import fold, heading, letter
from ledger.model import Definitions, Finding, Grid, Sheet, System

Cells = Sequence[Any]
MARK_WORDS = 4  # the ledger's name, template version, units, sheet
HEADING_SHARE = 0.6  # of a sheet's columns must be recognised to take a row as its headings


@dataclass(frozen=True, kw_only=True)
class Spotted:
    """A sheet of ours: what it is, where its columns are, and its lines still to be taken."""

    kind: Literal["entry", "result"]
    sheet_id: str
    system: System | None
    grid: Grid
    key_row: int
    lines: Iterator[tuple[int, Cells]]
    findings: list[Finding]


def spot(worksheet: Any, definitions: Definitions) -> Spotted | None:
    """Recognise a worksheet, or return None when it is not one of ours."""
    worksheet.reset_dimensions()  # the stated extent may lie
    lines = enumerate(worksheet.iter_rows(values_only=True), start=1)
    top = list(islice(lines, definitions.settings["scanned_rows"]))
    marked = _find_mark(top, definitions) or _find_headings(top, definitions)
    if marked is None:
        return None
    number, cells, words = marked
    if words[1].startswith("="):
        grid = Grid(sheet_id=words[1][1:], sheet_name=worksheet.title, letters={}, pair_rows={})
        return _spotted("result", words, grid, number, iter(()), [])
    sheet = definitions.sheets.get(words[1])
    if sheet is None:
        return None
    rest = _chain(top, lines)
    if sheet.layout == "pairs":
        return _spot_pairs(worksheet.title, sheet, words, number, cells, list(rest), definitions)
    grid, found = _columns(worksheet.title, sheet, cells, number, definitions)
    return _spotted("entry", words, grid, number, rest, found)


def _spotted(
    kind: Literal["entry", "result"],
    words: tuple[System | None, str],
    grid: Grid,
    number: int,
    lines: Iterator[tuple[int, Cells]],
    found: list[Finding],
) -> Spotted:
    return Spotted(
        kind=kind,
        sheet_id=grid.sheet_id,
        system=words[0],
        grid=grid,
        key_row=number,
        lines=lines,
        findings=found,
    )


def _chain(
    top: Sequence[tuple[int, Cells]], rest: Iterator[tuple[int, Cells]]
) -> Iterator[tuple[int, Cells]]:
    yield from top
    yield from rest


def _find_mark(
    top: Sequence[tuple[int, Cells]], definitions: Definitions
) -> tuple[int, Cells, tuple[System | None, str]] | None:
    for number, cells in top:
        for cell in cells:
            words = cell.split() if isinstance(cell, str) else []
            if len(words) == MARK_WORDS and words[0] == definitions.settings["mark"]:
                return number, cells, ("metric" if words[2] == "metric" else "us", words[3])
    return None


def _find_headings(
    top: Sequence[tuple[int, Cells]], definitions: Definitions
) -> tuple[int, Cells, tuple[System | None, str]] | None:
    """The second witness: a line whose cells are a sheet's headings, as keys instead."""
    for number, cells in top:
        texts = [fold(cell) if isinstance(cell, str) else "" for cell in cells]
        for sheet in definitions.sheets.values():
            for system in ("us", "metric"):
                known = {fold(heading(c, system, definitions)): c.id for c in sheet.columns}
                keys = [f"#{known[text]}" if text in known else None for text in texts]
                if sum(key is not None for key in keys) >= HEADING_SHARE * len(known):
                    return number, keys, (system, sheet.id)
    return None


def _columns(
    name: str, sheet: Sheet, cells: Cells, number: int, definitions: Definitions
) -> tuple[Grid, list[Finding]]:
    letters: dict[str, str] = {}
    found: list[Finding] = []
    for index, cell in enumerate(cells):
        column = cell[1:] if isinstance(cell, str) and cell.startswith("#") else ""
        if column not in sheet.by_id:
            continue
        if column in letters:
            words = {
                "read": f"{letters[column]}, {letter(index)}",
                "expected": sheet.by_id[column].title,
            }
            place = f"{letter(index)}{number}"
            found.append(findings.at(definitions, "column-twice", name, place, **words))
            continue
        letters[column] = letter(index)
    for c in sheet.columns:
        if c.required and c.id not in letters:
            words = {"expected": c.title}
            found.append(findings.at(definitions, "column-missing", name, f"A{number}", **words))
    return Grid(sheet_id=sheet.id, sheet_name=name, letters=letters, pair_rows={}), found


def _spot_pairs(
    name: str,
    sheet: Sheet,
    words: tuple[System | None, str],
    number: int,
    cells: Cells,
    lines: list[tuple[int, Cells]],
    definitions: Definitions,
) -> Spotted:
    """Pairs: keys stand below each other; every answer is in the column keyed ``#value``."""
    value = next((i for i, cell in enumerate(cells) if cell == "#value"), None)
    rows = {
        cell[1:]: line
        for line, row in lines
        for cell in row
        if isinstance(cell, str) and cell.startswith("#") and cell[1:] in sheet.by_id
    }
    at = letter(value if value is not None else 2)
    grid = Grid(
        sheet_id=sheet.id,
        sheet_name=name,
        letters=dict.fromkeys(sheet.by_id, at),
        pair_rows=rows,
    )
    found = [
        findings.at(definitions, "column-missing", name, f"A{number}", expected=c.title)
        for c in sheet.columns
        if c.required and c.id not in rows
    ]
    return _spotted("entry", words, grid, number, iter(lines), found)
