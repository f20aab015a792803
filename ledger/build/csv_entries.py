"""Entries to pre-fill a workbook with, from one CSV file a sheet: ``<sheet id>.csv``."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence
from datetime import date
from math import isfinite
from pathlib import Path

from ledger import findings
from ledger.layout import fold
from ledger.model import Column, Definitions, Sheet, System

CELL_LENGTH = 32_767  # characters; a limit of the file format
FIRST_YEAR = 1901  # spreadsheet programs disagree on days before
_NUMBER = re.compile(r"[-+]?(\d+\.?\d*|\.\d+)([eE][-+]?\d+)?")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")

Cells = dict[str, object]


class EntryFileFault(ValueError):
    """A CSV file that cannot be taken as it is; names the file, what is wrong, what to do."""


def read_entries(
    folder: Path, definitions: Definitions, system: System | None = None
) -> dict[str, list[Cells]]:
    """Rows of column id -> value by sheet id, blank cells and lines left out.

    Files are UTF-8 (with or without byte order mark), comma-separated, and have column ids
    for headers. Plain numbers in number columns become floats, ISO dates in date columns
    dates; every other text stays as it stands. With ``system`` given, a farm file that
    states other units is refused, since its figures would get the wrong headings.
    Hidden files and .md files are passed over. Raises ``EntryFileFault``.
    """
    if not folder.is_dir():
        raise EntryFileFault(f"{folder} is no folder; expected one that holds <sheet id>.csv files")
    entries = {}
    for file in sorted(folder.iterdir()):
        if not file.name.startswith(".") and file.suffix.lower() != ".md":
            sheet = _sheet(file, definitions)
            entries[sheet.id] = _rows(file, sheet)
    _check_farm(entries.get("farm", []), system)
    return entries


def _sheet(file: Path, definitions: Definitions) -> Sheet:
    names = {f"{name}.csv": sheet for name, sheet in definitions.sheets.items()}
    if file.name not in names or not file.is_file():
        near = findings.hint(file.name, names)
        raise EntryFileFault(f"{file.name}: no sheet has this name{near}; expected {_or(names)}")
    return names[file.name]


def _rows(file: Path, sheet: Sheet) -> list[Cells]:
    try:
        with file.open(encoding="utf-8-sig", newline="") as opened:
            reader = csv.reader(opened, strict=True)
            columns = _columns(file, sheet, next(reader, []))
            rows = [
                _row(file, reader.line_num, line, columns)
                for line in reader
                if any(cell.strip() for cell in line)
            ]
    except UnicodeDecodeError as problem:
        advice = "save it as UTF-8"
        raise EntryFileFault(
            f"{file.name}: not UTF-8 text ({problem.reason}); {advice}"
        ) from problem
    except csv.Error as problem:
        raise EntryFileFault(f"{file.name}: not a whole CSV file: {problem}") from problem
    if sheet.layout == "pairs" and len(rows) != 1:
        raise EntryFileFault(f"{file.name}: {len(rows)} lines below the headers; expected one")
    return rows


def _columns(file: Path, sheet: Sheet, headers: Sequence[str]) -> list[Column]:
    names = [header.strip() for header in headers]
    if not any(names):
        raise EntryFileFault(f"{file.name}: no headers; expected {_or(sheet.by_id)}")
    for name in names:
        if name not in sheet.by_id:
            near = findings.hint(name, sheet.by_id)
            wanted = f"{near}; expected {_or(sheet.by_id)}, separated by commas"
            raise EntryFileFault(f"{file.name}: header {name!r} is no column of it{wanted}")
        if names.count(name) > 1:
            raise EntryFileFault(f"{file.name}: header {name!r} stands twice; expected it once")
    return [sheet.by_id[name] for name in names]


def _or(names: Iterable[str]) -> str:
    return "one of " + ", ".join(names)


def _row(file: Path, number: int, line: Sequence[str], columns: Sequence[Column]) -> Cells:
    if len(line) > len(columns):
        wanted = f"{len(line)} cells; expected {len(columns)} at most, one a header"
        raise EntryFileFault(f"{file.name}: line {number} has {wanted}")
    cells: Cells = {}
    for column, text in zip(columns, line, strict=False):
        if len(text) > CELL_LENGTH:
            place = f"line {number}, {column.id}"
            raise EntryFileFault(
                f"{file.name}: {place}: {len(text)} characters; expected {CELL_LENGTH} at most"
            )
        if text.strip():
            cells[column.id] = _value(column, text)
    return cells


def _value(column: Column, text: str) -> object:
    bare = text.strip()
    if column.is_number and _NUMBER.fullmatch(bare) and isfinite(float(bare)):
        return float(bare)
    if column.is_date and _DAY.fullmatch(bare):
        return _day(bare) or text
    return text


def _day(text: str) -> date | None:
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None  # such as 2026-02-30: stays the text it is, and check points it out
    return day if day.year >= FIRST_YEAR else None


def _check_farm(rows: Sequence[Cells], system: System | None) -> None:
    for row in rows:
        units = row.get("units")
        if system and units is not None and fold(str(units)) != fold(system):
            raise EntryFileFault(
                f"farm.csv: units reads {units!r}; expected {system!r} as asked for, since the "
                "figures of all files are taken as they stand"
            )
