"""Take the filled lines of a recognised sheet; headings and help are not lines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from ledger.layout import example_line, fold, heading, help_line, index_of
from ledger.model import Definitions, Row, Sheet
from ledger.read.recognise import Spotted


def rows_of(spotted: Spotted, definitions: Definitions) -> list[Row]:
    """Every line that has something in a known column, wherever it stands on the sheet."""
    sheet = definitions.sheets[spotted.sheet_id]
    if sheet.layout == "pairs":
        return [_pairs(spotted)]
    where = {name: index_of(at) for name, at in spotted.grid.letters.items()}
    furniture = _furniture(sheet, definitions)
    return [
        Row(grid=spotted.grid, number=number, cells=cells)
        for number, cells in _filled(spotted.lines, where, spotted.key_row)
        if not _is_furniture(cells, furniture)
    ]


def _filled(
    lines: Iterator[tuple[int, Sequence[Any]]], where: Mapping[str, int], key_row: int
) -> Iterator[tuple[int, dict[str, Any]]]:
    for number, line in lines:
        width = len(line)
        cells = {
            name: line[index]
            for name, index in where.items()
            if index < width and not is_blank(line[index])
        }
        if cells and number != key_row:
            yield number, cells


def is_blank(cell: Any) -> bool:
    """True for an empty cell and for one that holds spaces only."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _furniture(sheet: Sheet, definitions: Definitions) -> frozenset[str]:
    texts = {fold(sheet.title), fold(help_line(sheet)), fold(example_line(sheet))}
    for system in ("us", "metric"):
        texts |= {fold(heading(column, system, definitions)) for column in sheet.columns}
    return frozenset(texts)


def _is_furniture(cells: Mapping[str, Any], furniture: frozenset[str]) -> bool:
    """Titles, help and headings: at least half of the cells are our own texts.

    Half, because a person may have renamed some headings.
    """
    own = sum(isinstance(cell, str) and fold(cell) in furniture for cell in cells.values())
    return own * 2 >= len(cells)


def _pairs(spotted: Spotted) -> Row:
    wanted = {row: name for name, row in spotted.grid.pair_rows.items()}
    cells = {}
    for number, line in spotted.lines:
        name = wanted.get(number)
        if name is None:
            continue
        index = index_of(spotted.grid.letters[name])
        if index < len(line) and not is_blank(line[index]):
            cells[name] = line[index]
    return Row(grid=spotted.grid, number=spotted.key_row, cells=cells)
