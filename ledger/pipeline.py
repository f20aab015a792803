"""The way of the data, from a workbook's bytes to its results. Read this file first.

    read -> check -> post -> need -> balance -> plan -> results

Every stage takes what the one before made and the definitions, and returns its output and
its findings. Stages do not know each other; only this file knows their order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ledger import findings, report
from ledger.balance import balance
from ledger.build import new_workbook
from ledger.check import check
from ledger.graft import graft, verify
from ledger.model import Book, Definitions, Entry, Finding, Grid, Reading, Results, Row, System
from ledger.need import need
from ledger.plan import plan
from ledger.post import post
from ledger.read import read


@dataclass(frozen=True, kw_only=True, eq=False)
class Run:
    """One workbook taken through the stages."""

    reading: Reading
    results: Results

    @property
    def clean(self) -> bool:
        """True when no finding is an error."""
        return not findings.has_errors(self.results.findings)


def run(content: bytes, definitions: Definitions) -> Run:
    """Take a workbook's bytes through all stages; raises ``read.Unreadable``."""
    reading, found = read(content, definitions)
    book, checked = check(reading, definitions)
    return Run(
        reading=reading, results=settle(book, [*found, *checked], reading.names, definitions)
    )


def settle(
    book: Book, found: Sequence[Finding], sheet_names: Sequence[str], definitions: Definitions
) -> Results:
    """From a checked book to its results."""
    journal, posted = post(book, definitions)
    needs, wanting = need(book, journal, definitions)
    doubtful = findings.has_errors([*found, *posted])
    statements, remarks = balance(book, journal, needs, definitions, doubtful=doubtful)
    coming, _ = post(book, definitions, planned=True)
    todo, planning = plan(book, statements.zones, needs, journal, coming, definitions)
    everything = [*found, *posted, *wanting, *remarks, *planning]
    return Results(
        book=book,
        findings=findings.in_order(everything, sheet_names),
        journal=journal,
        statements=statements.zones,
        fields=statements.fields,
        farm=statements.farm,
        custom=statements.custom,
        plan=todo,
    )


def with_results(content: bytes, done: Run, definitions: Definitions) -> bytes:
    """The workbook with its result sheets replaced, every other part as it was."""
    sheets = report.result_sheets(done.results, definitions)
    book = done.results.book
    footer = f"{book.farm.text('farm_name')} {book.year}"
    package = report.result_package(sheets, book.system, definitions, footer)
    places = {sheet.name: done.reading.result_sheets.get(sheet.id) for sheet in sheets}
    after = graft(content, package, places)
    verify(content, after, [name for name in places.values() if name])
    return after


def blank(
    definitions: Definitions,
    *,
    year: int,
    system: System,
    entries: Mapping[str, Sequence[Mapping[str, object]]],
) -> bytes:
    """A new workbook, pre-filled with entries, its result sheets there and empty."""

    def add_results(workbook: Any, look: Any) -> None:
        sheets = report.result_sheets(_nothing(definitions, system), definitions)
        report.add_result_sheets(workbook, look, sheets, system, definitions, str(year))

    return new_workbook(definitions, year=year, system=system, entries=entries, results=add_results)


def _nothing(definitions: Definitions, system: System) -> Results:
    """The results of an empty book: what the result sheets of a new workbook show."""
    grid = Grid(sheet_id="farm", sheet_name="Farm", letters={}, pair_rows={})
    farm = Entry(row=Row(grid=grid, number=1, cells={}), values={})
    book = Book(system=system, farm=farm, entries={"farm": []}, zones={})
    return settle(book, [], [], definitions)
