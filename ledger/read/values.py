"""The values of a workbook's cells, sheet by sheet.

python-calamine gives them in a twelfth of the time that openpyxl takes (measured). It shows
error cells blank, so their texts come from the scan; and it lays a sheet out as a rectangle,
so a long sheet is given to it in segments, and a sheet with a stray cell far out is read by
openpyxl, which does not.
"""

from __future__ import annotations

import warnings
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from functools import cached_property
from io import BytesIO
from typing import Any

from ledger.layout import index_of
from ledger.model import Aligned
from ledger.read.package import AS_XLSX, PARSING_FAULTS, Unreadable, damaged
from ledger.read.percents import as_shown
from ledger.read.scan import MOST_COLUMNS, SheetScan
from ledger.read.segments import Segments

Cells = Mapping[int, Any]  # what a line holds: column (from 0) -> value, blanks left out
Line = tuple[int, Cells]  # row number (from 1) and its cells
MOST_PLACES = 8_000_000  # of a rectangle; a ledger of 100,000 lines has a fifth
MOST_NUMBERS = 20_000  # that are kept to be shared
INVISIBLE = "\u200b\u200c\u200d\u2060\ufeff\u00ad\u200e\u200f"
MIDNIGHT = time()
BLANK = ""


class Values:
    """The sheets of a looked-through workbook; raises ``Unreadable`` where they do not parse.

    ``frame`` are the parts that cells of all sheets refer to, without which no sheet is cut;
    ``scans`` those of all sheets.
    """

    def __init__(
        self, content: bytes, frame: Sequence[str] = (), scans: Collection[SheetScan] = ()
    ) -> None:
        from python_calamine import CalamineError

        self._content = content
        self._segments = Segments(content, frame)
        self._sheets: dict[str, Any] = {}
        self._kept: dict[str, list[Line]] = {}
        self._texts: dict[Any, Any] = {}
        self._numbers: dict[float, float] = {}
        self._stumbles = CalamineError
        self._faults = (*PARSING_FAULTS, CalamineError)
        try:
            self._workbook = _opened(self._segments.without_cut(scans))
        except self._faults as problem:
            raise damaged(f"{type(problem).__name__}: {problem}") from problem
        except BaseException as problem:
            raise _refused(problem) from None
        self.names = tuple(self._workbook.sheet_names)
        if not self.names:
            raise Unreadable("the workbook holds no sheet that can be read", AS_XLSX)

    def keep(self, name: str, scan: SheetScan) -> None:
        """Take all lines of a sheet, so that calamine's own copy can go.

        Measured for 50,000 lines of manure spread: 26 MB instead of 69.
        """
        lines = self.lines(name, scan, scan.last_row)
        self._kept[name] = [(number, Aligned(cells)) for number, cells in lines]
        self._sheets.pop(name, None)

    def let_go(self, name: str) -> None:
        """Forget the lines of a sheet that was kept."""
        self._kept.pop(name, None)

    def lines(self, name: str, scan: SheetScan, last: int) -> Iterator[Line]:
        """The lines of a sheet that hold something, down to a row."""
        if name in self._kept:
            yield from (line for line in self._kept[name] if line[0] <= last)
            return
        last, width = min(last, scan.last_row), min(scan.width, MOST_COLUMNS)
        if not (last and width):
            return
        number = 0
        errors, percents = _by_row(scan.errors), _by_row(dict.fromkeys(scan.percents, ""))
        try:
            for number, left, row in self._rows(name, scan, last, width):
                if number > last:
                    return
                cells = _cells(row, left, width, self._texts, self._numbers)
                if number in errors:
                    cells |= errors[number]
                for at in percents[number].keys() & cells if number in percents else ():
                    cells[at] = as_shown(cells[at])
                if cells:
                    yield number, cells
        except self._faults as problem:
            raise damaged(f"sheet '{name}', row {number + 1}: {problem}") from problem
        except BaseException as problem:
            raise _refused(problem) from None

    def _rows(
        self, name: str, scan: SheetScan, last: int, width: int
    ) -> Iterator[tuple[int, int, Sequence[Any]]]:
        """Row number, column of its first cell, cells."""
        number = 0
        if self._segments.is_cut(scan) and not _is_far(scan):
            try:
                for number, left, row in self._in_segments(name, scan):
                    yield number, left, row
                    if number >= last:
                        return
                return
            except self._stumbles:
                pass  # what follows is read as of a sheet that is not cut
        whole = self._whole(name, scan, last, width)
        yield from (line for line in whole if line[0] > number)

    def _in_segments(self, name: str, scan: SheetScan) -> Iterator[tuple[int, int, Sequence[Any]]]:
        """The rows of a long sheet, some at a time.

        Measured for 50,000 lines of manure spread: 60 MB less at the peak of read and check.
        """
        for workbook in map(_opened, self._segments.workbooks(scan)):
            sheet = workbook.get_sheet_by_name(name)
            if sheet.start:
                top, left = sheet.start
                for number, row in enumerate(sheet.to_python(), start=top + 1):
                    yield number, left, row

    def _whole(
        self, name: str, scan: SheetScan, last: int, width: int
    ) -> Iterator[tuple[int, int, Sequence[Any]]]:
        """The rows of a sheet that is laid out at once."""
        sheet = None if _is_far(scan) else self._quickly(name, scan)
        if sheet is None:
            rows = self._by_openpyxl[name].iter_rows(max_row=last, max_col=width, values_only=True)
            yield from _with_content(rows)
            return
        left = sheet.start[1] if sheet.start else 0
        for number, row in enumerate(sheet.iter_rows(), start=1):
            yield number, left, row

    def _quickly(self, name: str, scan: SheetScan) -> Any:
        """The sheet by calamine; None where it stumbles (an error value of another program)."""
        if name not in self._sheets:
            left_out = self._segments.is_cut(scan)
            workbook = _opened(BytesIO(self._content)) if left_out else self._workbook
            try:
                self._sheets[name] = workbook.get_sheet_by_name(name)
            except self._stumbles:
                self._sheets[name] = None
        return self._sheets[name]

    @cached_property
    def _by_openpyxl(self) -> Any:
        import openpyxl

        # openpyxl warns of what it would drop on saving; it never saves a person's workbook.
        warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
        return openpyxl.load_workbook(
            BytesIO(self._content), read_only=True, data_only=True, keep_links=False
        )


def _opened(file: BytesIO) -> Any:
    from python_calamine import CalamineWorkbook

    return CalamineWorkbook.from_filelike(file)


def _is_far(scan: SheetScan) -> bool:
    """True when a cell stands so far out that the rectangle up to it would fill the memory."""
    return scan.far_row * scan.width > MOST_PLACES


def _with_content(rows: Iterable[Sequence[Any]]) -> Iterator[tuple[int, int, Sequence[Any]]]:
    """The rows that hold something, numbered.

    Before a far row openpyxl gives one and the same blank row a million times; passing it by
    its identity takes a sixteenth of the time of looking into it (measured).
    """
    blank: Sequence[Any] = ()
    for number, row in enumerate(rows, start=1):
        if row is blank:
            continue
        if row.count(None) < len(row):
            yield number, 0, row
        else:
            blank = row


def _refused(problem: BaseException) -> BaseException:
    """What to raise: the quick reader's own breakdown, no ``Exception``, is damage too."""
    return damaged(problem) if type(problem).__name__ == "PanicException" else problem


def _cells(
    row: Sequence[Any],
    left: int,
    width: int,
    texts: dict[Any, Any],
    numbers: dict[float, float],
) -> dict[int, Any]:
    """The cells that hold something, whole numbers as such, days as datetimes.

    Texts, days and numbers that are alike are kept once, in ``texts`` and ``numbers``; a text
    that only looks blank is '' there.
    """
    cells: dict[int, Any] = {}
    for at, cell in enumerate(row[: max(width - left, 0)], start=left):
        if cell is BLANK:  # most are (measured: 0.9 of the time of this loop)
            continue
        kind = type(cell)
        if kind is str:
            if cell:
                text = texts.get(cell)
                if text is None:
                    text = texts[cell] = cell if visible(cell) else ""
                if text:
                    cells[at] = text
        elif kind is float:
            number = numbers.get(cell)
            if number is None:
                number = int(cell) if cell.is_integer() else cell
                if len(numbers) < MOST_NUMBERS:
                    numbers[cell] = number
            cells[at] = number
        elif kind is date:
            cells[at] = texts.get(cell) or texts.setdefault(cell, datetime.combine(cell, MIDNIGHT))
        elif cell is not None:
            cells[at] = cell
    return cells


def _by_row(errors: Mapping[str, str]) -> dict[int, dict[int, str]]:
    """Error cells as scanned: row number -> column -> text."""
    found: dict[int, dict[int, str]] = {}
    for address, text in errors.items():
        letters = address.rstrip("0123456789")
        place = index_of(letters)
        if place < MOST_COLUMNS:
            found.setdefault(int(address[len(letters) :]), {})[place] = text
    return found


def visible(text: str) -> str:
    """A text without the invisible characters that stick to copied words."""
    return text.strip().strip(INVISIBLE).strip()
