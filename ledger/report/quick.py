"""Lines of a result sheet written straight into the sheet that XlsxWriter is making.

XlsxWriter keeps every cell as an object until its row is done. A line of texts, numbers and
days needs none: it goes into the file of rows as XlsxWriter itself would write it (measured: the
result sheets of 10,000 lines in 0.37 of the time). Rows are packed once, by the graft, and not
into XlsxWriter's package first. This leans on how XlsxWriter works inside;
tests/test_quick_lines.py holds both ways against each other.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from datetime import date
from functools import lru_cache
from math import isfinite
from pathlib import Path
from typing import Any

from ledger.apart import Apart
from ledger.layout import letter
from ledger.report.tables import UNKNOWN, Cell, Jump, Line, Link, Rough, place_of

ORDINARY = 10_000  # characters
_ODD = re.compile(r"[\x00-\x1f&<>_\ufffe\uffff]|^\s|\s$")  # may want escaping
MOST_TEXT_BYTES = 2 * 32_767  # in UTF-16: what a cell can hold
Formats = Callable[[], Sequence[str]]


class QuickDesk:
    """Writes lines into worksheets of a workbook with ``constant_memory``, and keeps their links.

    Links to other sheets are written as XML, as XlsxWriter would (measured: writing and grafting
    in 0.9 of the time of an object and a parsed tag each).
    """

    def __init__(self, look: Any) -> None:
        self.look = look
        self._links: dict[str, list[str]] = {}

    def lines(self, worksheet: Any) -> QuickLines:
        """What writes the lines of one table of a worksheet."""
        return QuickLines(worksheet, self.look, self._links.setdefault(worksheet.name, []))

    def taken(self, workbook: Any, folder: Path) -> dict[str, Apart]:
        """The rows taken out of a workbook that is written, and the links, by sheet."""
        return {
            sheet.name: Apart(
                rows=_rows(sheet, folder), links="".join(self._links.get(sheet.name, ())).encode()
            )
            for sheet in workbook.worksheets()
        }


class QuickLines:
    """Writes the lines of one table; links go into a list."""

    def __init__(self, worksheet: Any, look: Any, links: list[str]) -> None:
        self._worksheet = worksheet
        self._look = look
        self._links = links
        self._styles: dict[tuple[object, ...], list[str] | None] = {}
        self._kinds: dict[type, Callable[[Any], str]] = {
            **dict.fromkeys((float, Rough, int), _number),
            **dict.fromkeys((str, Jump), _text),
            Link: lambda link: _text(link.text),
            date: lambda day: _number(worksheet._convert_date_time(day)),
            type(None): lambda cell: _text(UNKNOWN),
        }

    def write(self, row: int, line: Line, linked: Sequence[int], formats: Formats) -> bool:
        """Write a line into a row (from 0) below all rows so far, if its cells are plain.

        ``linked`` are the places of cells that are links; ``formats`` names the formats of its
        cells; they hang on the kinds of the cells alone and so are asked for once a kind of line.
        """
        sheet = self._worksheet
        if row > sheet.previous_row:
            sheet._write_single_row(row)  # what was written before goes first
        kinds = (line.kind, line.format, *map(_kind, line.cells))
        if kinds not in self._styles:
            self._styles[kinds] = self._made(line, formats)
        styles = self._styles[kinds]
        if styles is not None:
            self._begin(row, len(styles))
            contents, number = self._kinds, row + 1
            cells = [
                f'<c r="{at}{number}"{style}{contents[type(cell)](cell)}'
                for at, style, cell in zip(_letters(len(styles)), styles, line.cells, strict=True)
            ]
            sheet.row_data_fh.write("".join(cells) + "</row>")
            self._links += [_link(line.cells[at], f"{letter(at)}{number}") for at in linked]
        return styles is not None

    def _made(self, line: Line, formats: Formats) -> list[str] | None:
        """The styles of a line as XML, or None where a cell is of another kind."""
        if not self._kinds.keys() >= set(map(type, line.cells)):
            return None
        return [f' s="{self._look[name]._get_xf_index()}"' for name in formats()]

    def _begin(self, row: int, width: int) -> None:
        sheet = self._worksheet
        sheet._check_dimensions(row, width - 1)
        sheet.table.clear()
        sheet._write_row(row, None, sheet.row_info.pop(row, None))


def _rows(worksheet: Any, folder: Path) -> Path:
    """Take the rows of a worksheet that is written out of its workbook, into a file of XML."""
    worksheet._opt_reopen()  # closed when the next worksheet was added
    worksheet._write_single_row()
    worksheet._opt_close()
    worksheet.row_info.clear()
    rows, left = folder / f"rows{worksheet.index}.xml", Path(worksheet.row_data_filename)
    left.replace(rows)
    left.touch()  # for XlsxWriter, which removes it
    return rows


def _kind(cell: Cell) -> object:
    """What the format of a cell hangs on: a link that leads nowhere looks like a text."""
    return bool(cell.cell) if type(cell) is Link else type(cell)


def _link(link: Any, cell: str) -> str:
    place = f'<hyperlink ref="{cell}" location="{_attribute(place_of(link))}"'
    return f'{place} display="{_attribute(link.text)}"/>'


def _attribute(text: str) -> str:
    if not _ODD.search(text) and '"' not in text:
        return text
    from xlsxwriter.xmlwriter import XMLwriter

    return str(XMLwriter()._escape_attributes(text))


@lru_cache
def _letters(count: int) -> tuple[str, ...]:
    return tuple(letter(index) for index in range(count))


def _number(number: float) -> str:
    if not isfinite(number):
        raise ValueError(f"a result is {number}, which no cell can hold")
    return f"><v>{number:.16G}</v></c>"


@lru_cache(maxsize=4_000)  # names of fields, zones and accounts come again and again
def _text(text: str) -> str:
    if not _ODD.search(text) and len(text) < ORDINARY:
        return f' t="inlineStr"><is><t>{text}</t></is></c>'
    from xlsxwriter.xmlwriter import XMLwriter

    cut = text.encode("utf-16-le", "surrogatepass")[:MOST_TEXT_BYTES].decode("utf-16-le", "ignore")
    whole = XMLwriter._escape_control_characters(cut)
    space = "" if whole == whole.strip() else ' xml:space="preserve"'
    return f' t="inlineStr"><is><t{space}>{XMLwriter()._escape_data(whole)}</t></is></c>'
