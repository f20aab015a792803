"""A long sheet cut between rows into workbooks of some of its rows each, kept in memory.

The quick reader lays a whole sheet out at once, in twice the room of what it keeps. Given a
sheet's rows some at a time, each time with the head of the sheet and with the parts that cells
refer to, it reads the same cells in as little room as wanted. A sheet of 5,000 lines is laid
out at once in 12 MB, and opening workbooks for it would take a tenth of the time of reading it.
"""

from __future__ import annotations

import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from io import BytesIO
from itertools import chain, pairwise
from typing import IO

from ledger.read.scan import SheetScan

LONG = 300_000  # cells, blank ones too, that take 20 MB while they are laid out
SEGMENT_BYTES = 1024 * 1024  # of rows: some hundred lines
MOST_BYTES = 32 * 1024 * 1024  # of a segment, held twice: a sheet laid out at once takes as much
PIECE_BYTES = 256 * 1024
FRAME_TIMES = 6  # a segment is so much larger than the parts that are read again with each
_ROWS = re.compile(rb"<((?:[\w.-]+:)?)sheetData\b[^<>]*>\Z")


class Segments:
    """The long sheets of a workbook, in workbooks of their own that hold some of its rows.

    ``frame`` are the parts that every one of them holds too: the workbook's own, its styles,
    the shared texts.
    """

    def __init__(self, content: bytes, frame: Sequence[str]) -> None:
        self._content = content
        self._names = frame

    def is_cut(self, scan: SheetScan) -> bool:
        """True when a sheet is long and may be cut."""
        return scan.far_row * scan.width > LONG and len(self._stretches(scan.cuts)) > 1

    def without_cut(self, scans: Iterable[SheetScan]) -> BytesIO:
        """The workbook for a reader, without the sheets that are cut, if there are any.

        A reader copies what it opens (measured at 100,000 lines: 7 MB less at the peak). Only
        parts that cells are read from are in it, so pictures take no room.
        """
        scans = list(scans)
        parts = [scan.part for scan in scans if not self.is_cut(scan)]
        if len(parts) == len(scans):
            return BytesIO(self._content)
        file = BytesIO()
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as package:
            for name in dict.fromkeys([*self._names, *parts]):
                package.writestr(name, self._archive.read(name))
        file.seek(0)
        return file

    def workbooks(self, scan: SheetScan) -> Iterator[BytesIO]:
        """The workbooks that hold a sheet's rows in turn."""
        with self._archive.open(scan.part) as part:
            head = part.read(scan.cuts[0])
            tag = _ROWS.search(head)
            prefix = tag[1] if tag else b""
            closing = b"</%bsheetData></%bworksheet>" % (prefix, prefix)
            for size in self._stretches(scan.cuts):
                yield self._workbook(scan.part, chain([head], _pieces(part, size), [closing]))

    def _stretches(self, cuts: Sequence[int]) -> list[int]:
        """How many bytes of rows each segment has; few the first, which is looked at before."""
        if not self._names or not cuts:
            return []
        frame = sum(self._archive.getinfo(name).file_size for name in self._names)
        wanted = max(SEGMENT_BYTES, FRAME_TIMES * frame)
        if wanted > MOST_BYTES:
            return []
        ends = list(cuts[:2])
        for before, cut in pairwise(cuts[1:]):
            if cut - ends[-1] > wanted and before > ends[-1]:
                ends.append(before)
        return [end - start for start, end in pairwise(dict.fromkeys([*ends, cuts[-1]]))]

    @cached_property
    def _archive(self) -> zipfile.ZipFile:
        return zipfile.ZipFile(BytesIO(self._content))

    @cached_property
    def _frame(self) -> Mapping[str, bytes]:
        return {name: self._archive.read(name) for name in self._names}

    def _workbook(self, part: str, sheet: Iterable[bytes]) -> BytesIO:
        file = BytesIO()
        with zipfile.ZipFile(file, "w") as package:
            for name, content in self._frame.items():
                package.writestr(name, content)
            with package.open(part, "w") as target:
                for some in sheet:
                    target.write(some)
        file.seek(0)
        return file


def _pieces(part: IO[bytes], size: int) -> Iterator[bytes]:
    """The next bytes of a part, a few at a time."""
    while size and (some := part.read(min(size, PIECE_BYTES))):
        size -= len(some)
        yield some
