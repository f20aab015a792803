"""What three witnesses say about a sheet: hidden keys, workbook names, visible headings.

A sheet of questions and answers is turned on its side first, so that for every sheet a
*line* holds keys or headings and a *place* in the line is a column of the ledger.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import TypeVar

from ledger.layout import fold, heading
from ledger.model import Definitions, Sheet, System
from ledger.read.tab import Cells, Line, Tab, holding, texts_in, visible

Found = TypeVar("Found", str, "Heading")
SYSTEMS: tuple[System, ...] = ("us", "metric")
MARK_WORDS = 4  # the ledger's name, template version, units, sheet
HEADING_SHARE = 0.6  # of a sheet's columns must be recognised to take a line as its headings
NAME_SHARE = 0.5
FEWEST_HEADINGS = 2  # one alone may be an entry that is called like a heading


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A mark cell: the row it stands in, the units and the sheet that it names."""

    row: int
    system: System
    sheet_id: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What a heading says: the column, and the units it fits."""

    column: str
    systems: frozenset[System]


@dataclass(frozen=True, slots=True, kw_only=True)
class Claims:
    """Where each witness says that the columns of a sheet are; places count from 0.

    ``key_line`` and ``heading_line`` are the lines they were read from, 0 when there is none.
    """

    keys: Mapping[str, Sequence[int]]
    names: Mapping[str, int]
    headings: Mapping[int, Heading]
    key_line: int = 0
    heading_line: int = 0


def mark_in(number: int, cells: Cells, definitions: Definitions) -> Mark | None:
    """The mark that stands in a line, if any."""
    for cell in cells.values():
        words = cell.split() if isinstance(cell, str) else []
        if len(words) == MARK_WORDS and words[0] == definitions.settings["mark"]:
            system: System = "metric" if words[2] == "metric" else "us"
            return Mark(row=number, system=system, sheet_id=words[3])
    return None


def claims_of(
    sheet: Sheet, lines: Sequence[Line], names: Mapping[str, int], definitions: Definitions
) -> Claims:
    """What all three witnesses say of a sheet whose lines (or turned columns) are given.

    Only lines with a text that says something are looked into (measured: a tenth of the time
    that looking into all of 50,000 takes).
    """
    spellings = spellings_of(sheet, definitions)
    lines = holding(lines, [t for t in texts_in(lines) if "#" in t or _folded(t) in spellings])
    key_line, keys = _best(lines, lambda cells: _keys(sheet, cells))
    heading_line, headings = _best(lines, lambda cells: headings_in(cells, spellings))
    if len(headings) < FEWEST_HEADINGS:
        heading_line, headings = 0, {}
    places: dict[str, list[int]] = {}
    for place, column in keys.items():
        places.setdefault(column, []).append(place)
    return Claims(
        keys=places, names=names, headings=headings, key_line=key_line, heading_line=heading_line
    )


def _best(
    lines: Sequence[Line], found_in: Callable[[Cells], dict[int, Found]]
) -> tuple[int, dict[int, Found]]:
    """The line where a witness has most to say; the first of equals."""
    best: tuple[int, dict[int, Found]] = (0, {})
    for number, cells in lines:
        found = found_in(cells)
        if len(found) > len(best[1]):
            best = number, found
    return best


def _keys(sheet: Sheet, cells: Cells) -> dict[int, str]:
    texts = ((at, c.strip()) for at, c in cells.items() if isinstance(c, str) and "#" in c)
    return {at: text[1:] for at, text in texts if text[:1] == "#" and text[1:] in sheet.by_id}


def headings_in(cells: Cells, spellings: Mapping[str, Heading]) -> dict[int, Heading]:
    """The cells of a line that read like headings of a sheet."""
    return {
        at: spellings[text]
        for at, cell in cells.items()
        if isinstance(cell, str) and (text := _folded(cell)) in spellings
    }


def _folded(text: str) -> str:
    return fold(visible(text))


@cache
def spellings_of(sheet: Sheet, definitions: Definitions) -> dict[str, Heading]:
    """How the headings of a sheet may read: as written, or without their star and unit."""
    found: dict[str, dict[str, set[System]]] = {}
    for column in sheet.columns:
        for system in SYSTEMS:
            text = fold(heading(column, system, definitions))
            for spelling in (text, text.replace("*", ""), fold(column.title)):
                found.setdefault(spelling, {}).setdefault(column.id, set()).add(system)
    return {
        spelling: Heading(column=column, systems=frozenset(systems))
        for spelling, said in found.items()
        if len(said) == 1  # what two columns may be called says nothing
        for column, systems in said.items()
    }


@cache
def _all_spellings(layout: str, definitions: Definitions) -> dict[str, list[tuple[str, Heading]]]:
    """How headings may read, for all sheets of a layout together."""
    found: dict[str, list[tuple[str, Heading]]] = {}
    for sheet in definitions.sheets.values():
        if sheet.layout == layout:
            for spelling, said in spellings_of(sheet, definitions).items():
                found.setdefault(spelling, []).append((sheet.id, said))
    return found


def all_headings_in(
    cells: Cells, layout: str, definitions: Definitions
) -> dict[str, dict[str, Heading]]:
    """The columns of every sheet of a layout that the cells of a line read like headings of.

    Asked for all sheets at once (measured: a tenth less time to read a small workbook).
    """
    spellings = _all_spellings(layout, definitions)
    found: dict[str, dict[str, Heading]] = {}
    for cell in cells.values():
        for sheet_id, said in spellings.get(_folded(cell), ()) if isinstance(cell, str) else ():
            found.setdefault(sheet_id, {})[said.column] = said
    return found


def named_in(sheet: Sheet, tab: Tab) -> dict[str, int]:
    """Where the workbook's names say the columns are: a column, or a row of questions."""
    axis = 0 if sheet.layout == "pairs" else 1
    names = {column.id: f"ledger_{sheet.id}_{column.id}".casefold() for column in sheet.columns}
    return {
        column: tab.pointers[name][axis] for column, name in names.items() if name in tab.pointers
    }
