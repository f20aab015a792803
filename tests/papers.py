"""Papers for tests: runs of farms, and what stands in a workbook that was written."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from functools import cache, lru_cache
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl
from workbooks import SHIPPED, Entries, run

from ledger import pipeline
from ledger.build.csv_entries import read_entries
from ledger.model import Results
from ledger.report.annual import annual_sheets, footer
from ledger.report.paper import paper
from ledger.report.part import left_out, part_of
from ledger.report.period import CROP_YEAR, period_of
from ledger.report.share import share_footer, share_sheets

EXAMPLE = Path(__file__).parent.parent / "examples" / "farm"


def example() -> Entries:
    """The entries of the example farm."""
    return read_entries(EXAMPLE, SHIPPED)


@cache
def example_results() -> Results:
    """The results of the example farm."""
    return run(example()).results


def results_of(source: str | Entries | bytes) -> Results:
    """The results of entries or of a workbook."""
    return run(source).results


def annual(source: str | Entries | bytes, period: str = CROP_YEAR, money: bool = False) -> bytes:
    """The annual report of a ledger."""
    results = results_of(source)
    days = period_of(period, results.book.year, SHIPPED)
    results = pipeline.for_period(results, days, SHIPPED)
    sheets = annual_sheets(results, days, SHIPPED, money=money)
    return paper(sheets, results.book.system, SHIPPED, footer(results))


def shared(source: str | Entries | bytes, name: str) -> bytes:
    """The copy for one person."""
    results = results_of(source)
    part = part_of(results, name, SHIPPED)
    sheets = share_sheets(part, left_out(results, name), SHIPPED)
    return paper(sheets, part.book.system, SHIPPED, share_footer(part))


@lru_cache(maxsize=16)
def opened(content: bytes) -> Any:
    """A paper as openpyxl sees it; not to be changed."""
    return openpyxl.load_workbook(BytesIO(content))


def rows(content: bytes, sheet: str) -> list[list[Any]]:
    """The filled cells of a sheet, row by row; merged cells count once."""
    lines = opened(content)[sheet].iter_rows(values_only=True)
    return [[cell for cell in line if cell is not None] for line in lines]


def table(content: bytes, sheet: str, title: str) -> list[list[Any]]:
    """The lines of a titled table: headings first, up to the next empty row."""
    found: list[list[Any]] = []
    lines = iter(rows(content, sheet))
    for line in lines:
        if line and str(line[0]).startswith(title):
            break
    for line in lines:
        if not line:
            break
        if len(line) > 1:
            found.append(line)
    return found


def labelled(content: bytes, sheet: str, title: str) -> dict[str, list[Any]]:
    """The lines of a table by their first cell."""
    return {str(line[0]): line[1:] for line in table(content, sheet, title)}


def text_of(content: bytes, sheets: Sequence[str] | None = None) -> str:
    """All text of a paper, or of some of its sheets."""
    names = sheets or opened(content).sheetnames
    return "\n".join(str(cell) for name in names for line in rows(content, name) for cell in line)


def members(content: bytes) -> bytes:
    """All members of a package, inflated, with their names and comments, in one string."""
    with zipfile.ZipFile(BytesIO(content)) as package:
        parts = [package.comment]
        for info in package.infolist():
            parts += [info.filename.encode(), info.comment, info.extra, package.read(info)]
    return b"\n".join(parts)
