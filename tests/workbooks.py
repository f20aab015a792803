"""Ledgers for tests, written as Markdown: a heading a sheet id, a table whose headers are ids.

    ## fields
    | field | area |
    | Home  | 40   |

Plain numbers and ISO dates become numbers and dates; everything else is text. What a table
cannot say (an error cell, a number kept as text) is put in with ``put``.

Entries go one of two ways. ``run`` and ``document`` take entries as the reader would hand
them on, without a file, which is quick; given a workbook's bytes they read it. That both ways
give the same is a test of its own (test_laws.py).
"""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl

from ledger import definitions, pipeline, report, resources
from ledger.check import check
from ledger.layout import fold, letter
from ledger.model import Definitions, Finding, Grid, Posting, Reading, Row, Sheet, System
from ledger.pipeline import Run

Entries = dict[str, list[dict[str, object]]]
Document = dict[str, Any]
Source = str | Entries | bytes  # Markdown, entries, or a workbook
SHIPPED = definitions.load()
YEAR = 2026
KEY_ROW, FIRST_LINE = 4, 6  # of an entry sheet in a new workbook
ANSWERS = "C"  # the column of the answers on the Farm sheet
BOOK = len(SHIPPED.products)  # lines of the Products sheet that are filled in already


# ---------------------------------------------------------------------- make
def parse(text: str) -> Entries:
    """The entries of a Markdown text: sheet id -> rows of column id -> value, blanks left out."""
    entries: Entries = {}
    heads: list[str] = []
    rows: list[dict[str, object]] = []
    for line in filter(None, (line.strip() for line in text.splitlines())):
        if line.startswith("## "):
            heads, rows = [], entries.setdefault(line[3:], [])
        elif line.startswith("|"):
            cells = [cell.strip() for cell in line.strip("|").split("|")]
            if heads:
                pairs = zip(heads, cells, strict=True)
                rows.append({head: value(cell) for head, cell in pairs if cell})
            heads = heads or cells
    return entries


def value(text: str) -> object:
    """A cell's text as the number or date it is, else as text."""
    if re.fullmatch(r"-?\d+", text):
        return int(text)
    if re.fullmatch(r"-?\d+\.\d+", text):
        return float(text)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return date.fromisoformat(text)
    return text


def entries_of(source: str | Entries) -> Entries:
    """Entries from Markdown or as they are; the farm gets a name if it has none.

    Reminders of blank records are off unless a test asks for them: every ledger has some.
    """
    entries = parse(source) if isinstance(source, str) else dict(source)
    farm = next(iter(entries.get("farm", [])), {})
    return {**entries, "farm": [{"farm_name": "Test farm", "record_reminders": "no", **farm}]}


def put(source: str | Entries, sheet_id: str, column: str, cell: object, line: int = 1) -> Entries:
    """The entries with one raw cell of the n-th line put in; None blanks it."""
    entries = entries_of(source)
    rows = [dict(row) for row in entries[sheet_id]]
    rows[line - 1][column] = cell
    return {**entries, sheet_id: rows}


def workbook(source: str | Entries, *, system: System = "us", data: Definitions = SHIPPED) -> bytes:
    """A workbook of the ledger with few prepared lines, filled with the entries."""
    if isinstance(source, str):
        return _of_text(source, system, data)
    return pipeline.blank(few_lines(data), year=YEAR, system=system, entries=entries_of(source))


@cache
def _of_text(text: str, system: System, data: Definitions) -> bytes:
    """Building takes a while, and the same texts come again and again."""
    return workbook(parse(text), system=system, data=data)


@cache
def few_lines(data: Definitions) -> Definitions:
    few = {"prepared_rows": 20, "live_rows": dict.fromkeys(data.settings["live_rows"], 20)}
    return replace(data, settings={**data.settings, **few})


def altered(folder: Path, file: str, change: Callable[[Any], object]) -> Definitions:
    """The shipped definitions with one file changed, loaded from a copy made in ``folder``."""
    copy = copied(folder)
    rewrite(copy, file, change)
    return definitions.load(copy)


def copied(folder: Path) -> Path:
    """A copy of the shipped templates folder."""
    copy = folder / "templates"
    shutil.copytree(resources.templates_folder(), copy)
    return copy


def rewrite(templates: Path, file: str, change: Callable[[Any], object]) -> None:
    """Change one data file of a copy."""
    path = templates / file
    content = json.loads(path.read_text("utf-8"))
    change(content)
    path.write_text(json.dumps(content), "utf-8")


# ------------------------------------------------------------- entries as if read
def as_read(source: str | Entries, system: System = "us", data: Definitions = SHIPPED) -> Reading:
    """What the reader would make of the workbook of these entries."""
    entries = entries_of(source)
    grids = {sheet.id: grid_of(sheet) for sheet in data.sheets.values()}
    rows: dict[str, list[Row]] = {}
    for sheet in data.sheets.values():
        lines = _lines(sheet, entries.get(sheet.id, []), system, data)
        first = KEY_ROW if sheet.layout == "pairs" else FIRST_LINE
        rows[sheet.id] = [
            Row(grid=grids[sheet.id], number=number, cells=_in_order(sheet, line))
            for number, line in enumerate(lines, start=first)
            if line
        ]
    names = tuple(sheet.title for sheet in data.sheets.values())
    return Reading(system=system, rows=rows, grids=grids, result_sheets={}, names=names)


def grid_of(sheet: Sheet) -> Grid:
    """Where the columns of an entry sheet are in a new workbook."""
    columns = [column.id for column in sheet.columns]
    pairs = sheet.layout == "pairs"
    return Grid(
        sheet_id=sheet.id,
        sheet_name=sheet.title,
        letters={c: ANSWERS if pairs else letter(at) for at, c in enumerate(columns)},
        pair_rows={c: FIRST_LINE + at for at, c in enumerate(columns)} if pairs else {},
    )


def _lines(
    sheet: Sheet, own: list[dict[str, object]], system: System, data: Definitions
) -> Iterable[dict[str, object]]:
    if sheet.layout == "pairs":
        defaults = {c.id: c.default for c in sheet.columns if c.default}
        return [{**defaults, "year": YEAR, "units": system, **own[0]}]
    if sheet.prefill != "products":
        return own
    named = {fold(str(line.get("product", ""))): line for line in own}
    book = _book_lines(system, data)
    filled = [{**line, **named.pop(fold(str(line["product"])), {})} for line in book]
    return [*filled, *named.values()]


def _book_lines(system: System, data: Definitions) -> Iterable[dict[str, object]]:
    for product in data.products.values():
        line: dict[str, object] = {"product": product.id, "form": product.form}
        for nutrient in data.nutrients.values():
            if "product" in nutrient.columns:
                line[nutrient.columns["product"]] = product.grade.get(nutrient.id, 0)
        if product.density:
            shown = data.shown_in[system]["mass per volume"]
            factor = data.units[product.density.unit].factor / data.units[shown].factor
            same = product.density.unit == shown
            line["density"] = product.density.value * (1 if same else factor)
        yield line


def _in_order(sheet: Sheet, line: Mapping[str, object]) -> dict[str, object]:
    """The cells in column order, days as a reader of workbooks gives them."""
    cells = {c.id: line[c.id] for c in sheet.columns if line.get(c.id) is not None}
    return {
        name: datetime.combine(cell, datetime.min.time()) if type(cell) is date else cell
        for name, cell in cells.items()
    }


# ----------------------------------------------------------------------- run
def run(source: Source, *, system: System = "us", data: Definitions = SHIPPED) -> Run:
    """Entries (or a workbook's bytes) taken through all stages."""
    if isinstance(source, bytes):
        return pipeline.run(source, data)
    reading = as_read(source, system, data)
    book, found = check(reading, data)
    return Run(reading=reading, results=pipeline.settle(book, found, reading.names, data))


def document(source: Source, *, system: System = "us", data: Definitions = SHIPPED) -> Document:
    """The result document of entries or of a workbook's bytes."""
    return report.document(run(source, system=system, data=data).results, data)


def zone(result: Document, field: str = "Home", name: str = "all") -> Document:
    """The statement of one zone in a result document."""
    found = [z for z in result["zones"] if (z["field"], z["zone"]) == (field, name)]
    assert len(found) == 1, f"{field}/{name} stands {len(found)} times among the zones"
    statement: Document = found[0]
    return statement


def figures(result: Document, nutrient: str = "N", field: str = "Home", name: str = "all") -> Any:
    """The figures of one nutrient of one zone: per area, in the ledger's units."""
    return zone(result, field, name)["nutrients"][nutrient]


def errors(found: Iterable[Finding]) -> set[str]:
    """The codes of the findings that are errors."""
    return {item.code for item in found if item.severity == "error"}


def codes(result: Document) -> set[str]:
    """The codes of all findings of a result document."""
    return {item["code"] for item in result["findings"]}


def postings(done: Run, nutrient: str) -> list[Posting]:
    """All postings of a nutrient."""
    return [p for p in done.results.journal.postings if p.nutrient == nutrient]


def flows(done: Run, nutrient: str = "N") -> dict[str, float]:
    """Mass by account [kg] of all postings of a nutrient."""
    sums: dict[str, float] = {}
    for posting in postings(done, nutrient):
        account = str(posting.account)
        sums[account] = sums.get(account, 0.0) + posting.mass
    return sums


# -------------------------------------------------------------- change by hand
def edit(content: bytes, change: Callable[[Any], None]) -> bytes:
    """The workbook after a change made with openpyxl, as a person might with another program."""
    book = openpyxl.load_workbook(BytesIO(content))
    change(book)
    target = BytesIO()
    book.save(target)
    return target.getvalue()


def put_raw(place: Any, new: object) -> None:
    """Put something into a cell of openpyxl: a text stays text, but '#...' is an error cell."""
    place.value = new
    if isinstance(new, str):
        place.data_type = "e" if new.startswith("#") else "s"


def set_cell(content: bytes, sheet: str, cell: str, new: object) -> bytes:
    """The workbook with one raw cell put in."""
    return edit(content, lambda book: put_raw(book[sheet][cell], new))


def title(sheet_id: str, data: Definitions = SHIPPED) -> str:
    """The name a sheet has in a new workbook."""
    return data.sheets[sheet_id].title


def cell_of(sheet_id: str, column: str, line: int = 1, data: Definitions = SHIPPED) -> str:
    """The address of a column's cell in the n-th line of a sheet (or of a Farm answer)."""
    return grid_of(data.sheets[sheet_id]).address(column, FIRST_LINE + line - 1)
