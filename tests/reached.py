"""Figures with a range moved to an end of it, and numbers of sheets that stand without a range.

A second run with every published range and every lot's lab slips at another place tells which
numbers hang on them, whatever the program itself believes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from math import isclose
from typing import Any

from workbooks import SHIPPED

from ledger import pipeline
from ledger.model import Book, Definitions, Entry, Figure, Results
from ledger.report.tables import Line, ResultSheet, Rough, Table

ENDS = {"low", "used", "high", "down", "up", "width"}
OTHER = "other"  # the end that is not the figure used


def moved(thing: Any, end: str) -> Any:
    """A copy with every figure inside that has a range at its low, high or other end."""
    if isinstance(thing, Figure):
        return thing if thing.low is None else replace(thing, value=_at(thing, end))
    if is_dataclass(thing) and not isinstance(thing, type):
        parts = {f.name: moved(getattr(thing, f.name), end) for f in fields(thing) if f.init}
        return replace(thing, **parts)
    if isinstance(thing, Mapping):
        return {key: moved(value, end) for key, value in thing.items()}
    if isinstance(thing, (list, tuple)):
        return type(thing)([moved(item, end) for item in thing])
    return thing


def _at(figure: Any, end: str) -> float:
    if end == OTHER:
        return float(figure.high if figure.high != figure.value else figure.low)
    return float(figure.low if end == "low" else figure.high)


def definitions_at(end: str) -> Definitions:
    """The shipped definitions with all figures that have a range at one end."""
    names = ("manure_sets", "removal_sets", "need", "gate", "crops", "herd")
    return replace(SHIPPED, **{name: moved(getattr(SHIPPED, name), end) for name in names})


def book_at(book: Book, end: str) -> Book:
    """A book whose manure lots hold the least or the most of their lab slips."""
    lots = [_lot(entry, end) for entry in book.entries.get("manure_lots", ())]
    return replace(book, entries={**book.entries, "manure_lots": lots})


def _lot(lot: Entry, end: str) -> Entry:
    slips = {name: told for name, told in (lot.slips or {}).items() if told.low is not None}
    ends = {name: (told.low if end == "low" else told.high) or 0.0 for name, told in slips.items()}
    return replace(lot, values={**lot.values, **ends})


def results_at(results: Results, end: str) -> Results:
    """The results of the same book with everything that has a range at one end."""
    book = book_at(results.book, end)
    return pipeline.settle(book, [], list(SHIPPED.sheets), definitions_at(end))


# ----------------------------------------------------------------- the walk
def changed(
    before: Sequence[ResultSheet], after: Sequence[ResultSheet]
) -> Iterator[tuple[ResultSheet, Table, Line, int]]:
    """The numbers that differ between two runs, with sheet, table and line."""
    others = {sheet.id: sheet for sheet in after}
    for sheet in before:
        tables = {table.title: table for table in others[sheet.id].tables}
        for table in sheet.tables:
            if table.title in tables:
                yield from ((sheet, *found) for found in _differing(table, tables[table.title]))


def _differing(table: Table, other: Table) -> Iterator[tuple[Table, Line, int]]:
    lines: dict[object, list[Line]] = {}
    for line in other.lines:
        lines.setdefault(_key(line, other), []).append(line)
    columns = {_column(other, at): at for at in range(len(other.headings))}
    for line in table.lines:
        key = _key(line, table)
        same = lines.get(key)
        for at, cell in enumerate(line.cells if same else ()):
            place = columns.get(_column(table, at))
            if isinstance(cell, (int, float)) and same and place is not None:
                now = same[0].cells[place]
                if not isinstance(now, (int, float)) or not isclose(cell, now, rel_tol=1e-9):
                    yield table, line, at
        if same:
            same.pop(0)
            if not same:
                del lines[key]


def _column(table: Table, at: int) -> tuple[str, int]:
    """A heading, and its place among those of the same text."""
    texts = [heading.text for heading in table.headings]
    return texts[at], texts[:at].count(texts[at])


def _key(line: Line, table: Table) -> object:
    """What a line is of: its first texts, and what it says it is about."""
    texts = tuple(
        str(getattr(cell, "text", cell))
        for cell, heading in zip(line.cells[:3], table.headings, strict=False)
        if not isinstance(cell, (int, float)) and heading.format != "range"
    )
    return texts, line.about


def with_range(table: Table, line: Line, at: int) -> bool:
    """Whether a number has the sign, its range beside it, or both its ends on its line."""
    heading = table.headings[at]
    if isinstance(line.cells[at], Rough) or dict(heading.about).get("range") in ENDS:
        return True
    following = table.headings[at + 1 : at + 2]
    if following and ("range", "beside") in following[0].about:
        return " to " in str(line.cells[at + 1])
    return {"Low", "High"} <= {h.text for h in table.headings}


def bare(before: Sequence[ResultSheet], after: Sequence[ResultSheet]) -> list[str]:
    """The numbers that hang on figures with a range and are shown as if they did not."""
    return [
        f"{sheet.name}; {table.title}; {line.cells[:3]}; {table.headings[at].text}"
        for sheet, table, line, at in changed(before, after)
        if not with_range(table, line, at)
    ]


def without_ranges(sheet: ResultSheet) -> ResultSheet:
    """A sheet with its columns of ranges removed, as one who broke them would have it."""

    def cut(table: Table) -> Table:
        kept = [at for at, h in enumerate(table.headings) if ("range", "beside") not in h.about]
        return replace(
            table,
            headings=[table.headings[at] for at in kept],
            lines=[replace(x, cells=[x.cells[at] for at in kept]) for x in table.lines],
        )

    return replace(sheet, tables=[cut(table) for table in sheet.tables])
