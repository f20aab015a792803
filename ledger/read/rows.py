"""Take the filled lines of a recognised sheet; headings and help are not lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from ledger.layout import example_line, fold, heading, help_line, index_of
from ledger.model import Aligned, Definitions, Picked, Row, Sheet
from ledger.read.flaws import flaws_of
from ledger.read.recognise import Spotted
from ledger.read.tab import Line, texts_in
from ledger.read.witness import SYSTEMS

DAYS_1904 = 1462  # between the two ways to count days in a workbook


def rows_of(spotted: Spotted, definitions: Definitions, *, from_1904: bool = False) -> list[Row]:
    """Every line that has something in a known column, wherever it stands on the sheet."""
    if spotted.sheet.layout == "pairs":
        rows = [_pairs(spotted)]
    else:
        furniture = _furniture(spotted, definitions)
        rows = [
            Row(grid=spotted.grid, number=number, cells=cells)
            for number, cells in _filled(spotted)
            if not furniture.holds(number, cells)
        ]
    rows = flaws_of(spotted, rows)
    return [_counted_from_1900(row, spotted.sheet) for row in rows] if from_1904 else rows


def _filled(spotted: Spotted) -> Iterator[tuple[int, Aligned[str]]]:
    picked = Picked({name: index_of(at) for name, at in spotted.grid.letters.items()})
    for number, line in spotted.lines:
        if number != spotted.claims.key_line:
            cells = picked(line if isinstance(line, Aligned) else Aligned(line))
            if cells:
                yield number, cells


def _pairs(spotted: Spotted) -> Row:
    lines = dict(spotted.lines)
    cells = {}
    for name, number in spotted.grid.pair_rows.items():
        answer = lines.get(number, {}).get(index_of(spotted.grid.letters[name]))
        if answer is not None:
            cells[name] = answer
    return Row(grid=spotted.grid, number=spotted.top, cells=cells)


def _counted_from_1900(row: Row, sheet: Sheet) -> Row:
    """Days that are kept as plain numbers, as a workbook that counts from 1900 has them."""
    cells = {
        name: cell + DAYS_1904
        if sheet.by_id[name].is_date and isinstance(cell, (int, float)) and cell is not True
        else cell
        for name, cell in row.cells.items()
    }
    return replace(row, cells=cells)


@dataclass(frozen=True, kw_only=True)
class _Furniture:
    """What stands on an entry sheet and is no entry: title, help, headings.

    ``telling`` are those of the sheet's texts that read like one of them: few lines have any.
    """

    key_row: int
    telling: frozenset[str]
    texts: frozenset[str]
    headings: Mapping[str, frozenset[str]]
    known: frozenset[str]
    figures: frozenset[str]
    needed: frozenset[str]
    sorted_in: bool

    def holds(self, number: int, cells: Aligned[str]) -> bool:
        """True when at least half of a line is our own, or it is headings of the person's own.

        Half, because a person may have renamed some headings. A heading counts in its own
        column alone, so that a field may be called like one; the title counts where the rest
        of its line is no entry, which after sorting has only the link beside it. Above the
        keys people write titles of their own; there a line without all it needs is no entry.
        """
        if number < self.key_row and not (self.sorted_in or self._is_whole(cells)):
            return True
        if self.telling.isdisjoint(cells.kept):
            return self._renamed(number, cells)
        alone = number < self.key_row or len(cells) <= (2 if self.sorted_in else 1)
        own = sum(
            said in self.headings[name] or (alone and said in self.texts)
            for name, cell in cells.items()
            if isinstance(cell, str) and (said := fold(cell)) in self.known
        )
        return own * 2 >= len(cells) or self._renamed(number, cells)

    def _is_whole(self, cells: Mapping[str, Any]) -> bool:
        return self.needed <= cells.keys() and len(cells) > 1  # one cell alone is a title

    def _renamed(self, number: int, cells: Mapping[str, Any]) -> bool:
        """The line below the keys with words over every column of numbers and dates."""
        if number != self.key_row + 1:
            return False
        figures = [cells.get(name) for name in self.figures]
        words = [c for c in figures if isinstance(c, str) and any(map(str.isalpha, c))]
        return bool(figures) and len(words) == len(figures)


def _furniture(spotted: Spotted, definitions: Definitions) -> _Furniture:
    sheet, key_row = spotted.sheet, spotted.top
    texts = frozenset(map(fold, (sheet.title, help_line(sheet), example_line(sheet))))
    headings = {
        column.id: frozenset(fold(heading(column, s, definitions)) for s in SYSTEMS)
        for column in sheet.columns
    }
    known = texts.union(*headings.values())
    return _Furniture(
        key_row=key_row,
        telling=frozenset(text for text in texts_in(spotted.lines) if fold(text) in known),
        needed=frozenset(column.id for column in sheet.columns if column.required),
        sorted_in=not _has_title(sheet, [line for line in spotted.lines if line[0] < key_row]),
        texts=texts,
        headings=headings,
        known=known,
        figures=frozenset(c.id for c in sheet.columns if c.is_number or c.is_date),
    )


def _has_title(sheet: Sheet, lines: Sequence[Line]) -> bool:
    title = fold(sheet.title)
    texts = (cell for _, cells in lines for cell in cells.values() if isinstance(cell, str))
    return any(fold(text) == title for text in texts)
