"""One pass over the bytes of a worksheet or of the shared texts, in bounded memory.

openpyxl builds an object for whatever it finds and tells a formula that was never computed
from a blank cell no more than it tells a merged cell from a free one. This pass sees what it
does not say, and sees to it that only what it can take comes to it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from ledger.layout import index_of, letter
from ledger.read.package import Unreadable, damaged
from ledger.read.tokens import Clues, bare_cells, tokens

MOST_CELLS = 2_000_000
MOST_ROWS = 400_000
MOST_MARKUP = 400_000  # tags of a part that become objects
MOST_TEXTS_MARKUP = 4_000_000
MOST_BYTES_AT_ONCE = 8 * 1024 * 1024  # a row, or one text
MOST_COLUMNS = 512  # nobody types further right; a stray cell there is not the ledger's
MOST_HEAD_BYTES = 256 * 1024  # of what precedes the rows of a sheet that is read in segments
CLOSING_BYTES = 64  # enough for the closing tag and what may stand after it
LAST_ROW = 1_048_576  # of the file format
ADVICE = "Delete what is not part of the ledger, or start from a fresh workbook."
_NUMBER = b"0123456789.+-eE"
_TAIL = re.compile(rb"</(?:[\w.-]+:)?sheetData\s*>")
_HEAD = re.compile(rb"<(?:[\w.-]+:)?sheetData\b[^<>]*>")
_ROWS_TAG = re.compile(rb"</?(?:[\w.-]+:)?sheetData\b")
_MERGED = re.compile(rb"<(?:[\w.-]+:)?mergeCell\b[^<>]*?\bref\s*=\s*[\"']([A-Z0-9:$]+)[\"']")
_TEXT = re.compile(rb"<(?:[\w.-]+:)?si\b[^<>]*>(?:\s*<(?:[\w.-]+:)?t\b[^<>]*>([^<]*))?")
_NUMBERED_ROW = re.compile(rb"<(?:[\w.-]+:)?row\b[^<>]*?\br\s*=\s*[\"']\d")
_ROW_NUMBER = re.compile(rb"\br\s*=\s*[\"'](\d+)[\"']")
_ADDRESS = re.compile(rb"\br\s*=\s*[\"']\$?([A-Z]{1,3})\$?(\d+)[\"']")
_STYLE = re.compile(rb"\bs\s*=\s*[\"'](\d+)[\"']")
_CLOSED = re.compile(rb"</(?:\w+:)?worksheet\s*>")
_KIND = re.compile(rb"\bt\s*=\s*[\"'](\w+)[\"']")


@dataclass(slots=True, kw_only=True)
class SheetScan:
    """What a worksheet holds besides the values of its cells; of error cells their text.

    ``percents`` are numbers shown as a percentage, ``uncomputed`` formulas without a value to be
    believed, ``marked`` rows with a text that starts with the ledger's mark, ``last_row`` the last
    with content in the first ``MOST_COLUMNS``; ``far_row`` and ``width`` span all cells.
    ``cuts`` are the places in the bytes of ``part`` where it may be cut between rows: the start
    of the first, of some others, the end of the last. None where a cut could do harm.
    """

    part: str = ""
    cuts: list[int] = field(default_factory=list)
    last_row: int = 0
    far_row: int = 0
    width: int = 0
    cells: int = 0
    uncomputed: set[str] = field(default_factory=set)
    errors: dict[str, str] = field(default_factory=dict)
    percents: set[str] = field(default_factory=set)
    merged: list[str] = field(default_factory=list)
    marked: list[int] = field(default_factory=list)


def marked_texts(chunks: Iterable[bytes], mark: bytes) -> frozenset[bytes]:
    """The numbers, as cells refer to them, of shared texts that start with the mark."""
    found: set[bytes] = set()
    number, markup, rest = 0, 0, b""
    for chunk in chunks:
        markup += chunk.count(b"<")
        _limit(markup, MOST_TEXTS_MARKUP, "the workbook holds more texts than the ledger can take")
        rest = _short_enough(rest + chunk, "one text of the workbook")
        whole = rest.rfind(b"si>") + 3 if b"si>" in rest else 0
        texts = _TEXT.findall(rest[:whole])
        ours = (at for at, text in enumerate(texts) if text.lstrip().startswith(mark))
        found.update(b"%d" % (number + at) for at in ours)
        number, rest = number + len(texts), rest[whole:]
    return frozenset(found)


def scan_sheet(chunks: Iterable[bytes], name: str, clues: Clues) -> SheetScan:
    """Scan a worksheet's bytes; raises ``Unreadable`` naming the cell that is too much."""
    scanner = _Scanner(name, clues)
    rest, phase = b"", _HEAD
    last, seen = b"", 0
    for chunk in chunks:
        seen += len(chunk)
        last = (last + chunk[-CLOSING_BYTES:])[-CLOSING_BYTES:]
        rest = _short_enough(rest + chunk, f"one row of the sheet '{name}'")
        if phase is _HEAD:
            rest, phase = scanner.head(rest)
        if phase is _TAIL:
            rest, phase = scanner.rows(rest, seen - len(rest))
        if phase is _MERGED:
            rest = scanner.tail(rest)
    if scanner.found.cells and (phase is not _MERGED or not _CLOSED.search(last)):
        raise damaged(f"the sheet '{name}' is cut off")
    cuts = scanner.found.cuts
    if scanner.strays or (cuts and cuts[0] > MOST_HEAD_BYTES):
        cuts.clear()
    return scanner.found


class _Scanner:
    """The state of one pass: head, rows and tail of a sheet come one after the other."""

    def __init__(self, name: str, clues: Clues) -> None:
        self.found = SheetScan()
        self.strays = False  # whether a cell says that it stands in another row
        self._name = name
        self._clues = clues
        self._tokens, self._bare = tokens(clues), bare_cells(clues)
        self._markup = 0
        self._row = self._rows = self._place = 0
        self._first = b""  # attributes of the first cell of the row that holds something

    def head(self, data: bytes) -> tuple[bytes, re.Pattern[bytes]]:
        """Skip to the rows."""
        start = _HEAD.search(data)
        if start is None:
            return self._skip(data), _HEAD
        self._count(data[: start.end()])
        empty = start[0].endswith(b"/>")
        return data[start.end() :], _MERGED if empty else _TAIL

    def rows(self, data: bytes, at: int) -> tuple[bytes, re.Pattern[bytes]]:
        """Take the rows that are whole from data that starts at a place of the part."""
        if not self.found.cuts or (_NUMBERED_ROW.match(data) and at > self.found.cuts[-1]):
            self.found.cuts.append(at)
        # Looked for as plain bytes first: most chunks end before it (measured: 0.9 of the scan).
        end = _TAIL.search(data) if b"sheetData" in data else None
        if end is not None:
            self.found.cuts.append(at + end.start())
            self._take(data, end.start())
            return data[end.end() :], _MERGED
        cut = max(data.rfind(b"<row"), data.rfind(b":row"))
        cut = data.rfind(b"<", 0, cut + 1) if cut > 0 else 0
        self._take(data, cut)
        return data[cut:], _TAIL

    def tail(self, data: bytes) -> bytes:
        """Note merged ranges; the last tag may not be whole."""
        cut = data.rfind(b"<")
        if _ROWS_TAG.search(data):
            raise damaged(f"the sheet '{self._name}' has rows in two places")
        self.found.merged += [ref.decode() for ref in _MERGED.findall(data, 0, max(cut, 0))]
        return self._skip(data)

    def _skip(self, data: bytes) -> bytes:
        cut = max(data.rfind(b"<"), 0)
        self._count(data[:cut])
        return data[cut:]

    def _count(self, data: bytes) -> None:
        self._markup += data.count(b"<")
        _limit(self._markup, MOST_MARKUP, f"the sheet '{self._name}' holds more than cells")

    def _take(self, data: bytes, end: int) -> None:
        last = None
        for token in self._tokens.finditer(data, 0, end):
            attributes = token["cell"]
            if attributes is None:
                self._end_row(last)
                last = None
                if token["row"]:
                    self._plain_row(token[0], *token.group("row", "last"))
                elif token["bare"]:
                    self._plain_row(token[0], *token.group("bare", "bare_last"))
                    cells = self._bare.findall(token[0])
                    self.found.uncomputed.update(at.decode() for at in cells)
                else:
                    number = _ROW_NUMBER.search(token["head"])
                    self._start_row(int(number[1]) if number else self._row + 1)
                continue
            last = attributes
            self._place += 1
            if token["value"] or token["formula"] or token["inline"]:
                self._first = self._first or attributes
                self._cell(*token.group("cell", "formula", "value", "text"))
        self._end_row(last)

    def _plain_row(self, row: bytes, number: bytes, last: bytes) -> None:
        """A row as a whole, in whose cells there is nothing to note."""
        self._start_row(int(number))
        self.found.cells += row.count(b"<c ")
        self.found.width = max(self.found.width, index_of(last.decode()) + 1)
        if b"<v>" in row or b"<is>" in row:
            self._note_row(1)
        if self.found.cells > MOST_CELLS or self._rows > MOST_ROWS:
            self._refuse_size(f"{last.decode()}{self._row}")

    def _start_row(self, number: int) -> None:
        before, self._row = self._row, number
        self._rows += 1
        if not before < self._row <= LAST_ROW:
            raise damaged(f"row {self._row} of the sheet '{self._name}' is out of its place")

    def _end_row(self, last: bytes | None) -> None:
        self.found.cells += self._place
        if last is not None:
            place = self._column(last, self._place)
            self.found.width = max(self.found.width, place)
            if self._first:
                self._note_row(1 if place <= MOST_COLUMNS else self._column(self._first, 1))
        if self.found.cells > MOST_CELLS or self._rows > MOST_ROWS:
            self._refuse_size(self._at(last or b""))
        self._place = 0

    def _refuse_size(self, place: str) -> None:
        here = f"at {place}, the sheet '{self._name}' passes"
        _limit(self.found.cells, MOST_CELLS, f"{here} {MOST_CELLS} cells")
        _limit(self._rows, MOST_ROWS, f"{here} {MOST_ROWS} rows")

    def _note_row(self, column: int) -> None:
        """A row with content, the first of it in a column (from 1)."""
        self.found.far_row, self._first = self._row, b""
        if column <= MOST_COLUMNS:
            self.found.last_row = self._row

    def _column(self, attributes: bytes, unstated: int) -> int:
        """The column (from 1) of a cell by its address."""
        address = _ADDRESS.search(attributes)
        return index_of(address[1].decode()) + 1 if address else unstated

    def _cell(
        self, attributes: bytes, formula: bytes | None, value: bytes | None, text: bytes | None
    ) -> None:
        address = _ADDRESS.search(attributes)
        self.strays = self.strays or (address is not None and int(address[2]) != self._row)
        kind = _KIND.search(attributes) if b"t=" in attributes else None
        if kind is None or kind[1] == b"n":
            self._number(attributes, formula, value)
        elif kind[1] == b"e":
            self.found.errors[self._at(attributes)] = (value or b"").decode("utf-8", "replace")
        elif kind[1] == b"s":
            if value in self._clues.marks:
                self.found.marked.append(self._row)
        elif text and text.lstrip().startswith(self._clues.mark):
            self.found.marked.append(self._row)

    def _number(self, attributes: bytes, formula: bytes | None, value: bytes | None) -> None:
        if value and value.strip().translate(None, _NUMBER):
            raise Unreadable(
                f"cell {self._at(attributes)} of the sheet '{self._name}' holds "
                f"'{value[:20].decode('utf-8', 'replace')}' in place of a number",
                "Type a number there in a spreadsheet program and save.",
            )
        if self._clues.percents and value:
            style = _STYLE.search(attributes)
            if style and style[1] in self._clues.percents:
                self.found.percents.add(self._at(attributes))
        if formula and (not value or (self._clues.never_computed and value == b"0")):
            self.found.uncomputed.add(self._at(attributes))

    def _at(self, attributes: bytes) -> str:
        address = _ADDRESS.search(attributes)
        if address:
            return (address[1] + address[2]).decode()
        return f"{letter(max(self._place - 1, 0))}{self._row}"


def _limit(count: int, most: int, reason: str) -> None:
    if count > most:
        raise Unreadable(reason, ADVICE)


def _short_enough(data: bytes, what: str) -> bytes:
    if len(data) > MOST_BYTES_AT_ONCE:
        raise Unreadable(f"{what} has more than {MOST_BYTES_AT_ONCE // 1024**2} MB", ADVICE)
    return data
