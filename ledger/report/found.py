"""The Findings sheet: a table a gravity, grouped by sheet, every finding linked to its cell."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby

from ledger.model import Finding
from ledger.report.tables import Cell, Heading, Line, Link, ResultSheet, Table

TITLES: Mapping[str, str] = {
    "error": "Errors: mend these first",
    "warning": "Warnings: look at these",
    "note": "Notes: good to know",
}
MEANING = (
    "A line with an error is left out of all sums until it is mended; a field or zone with one "
    "still counts with the area typed for it. Every total that misses something says incomplete."
)
HEADINGS = (
    Heading(text="How bad", format="text", width=16),
    Heading(text="Sheet", format="text", width=16),
    Heading(text="Cell", format="text", width=8),
    Heading(text="What was found", format="wrapped", width=62),
    Heading(text="What to do", format="wrapped", width=62),
    Heading(text="Code", format="text", width=24),
)


def findings_sheet(found: Sequence[Finding]) -> ResultSheet:
    """Gravest first, then by sheet; ``found`` is in that order already."""
    words = [counted(found), MEANING]
    tables = [
        Table(title=TITLES[gravity], headings=HEADINGS, lines=list(_lines(list(group))))
        for gravity, group in groupby(found, key=lambda item: item.severity)
    ]
    nothing = Table(title="", headings=HEADINGS, lines=[])
    return ResultSheet(id="findings", name="Findings", words=words, tables=tables or [nothing])


def _lines(found: Sequence[Finding]) -> Iterator[Line]:
    """The findings of one gravity, each sheet under a line with its name and their number."""
    for sheet, group in groupby(found, key=lambda item: item.sheet):
        items = list(group)
        yield Line(kind="total", cells=[f"{sheet}: {len(items)}", *[""] * (len(HEADINGS) - 1)])
        yield from map(_line, items)


def _line(item: Finding) -> Line:
    link = Link(text=item.cell, sheet=item.sheet, cell=item.cell)
    cells: list[Cell] = [item.severity, item.sheet, link, item.message, item.fix, item.code]
    return Line(kind=item.severity, cells=cells)


def counted(found: Sequence[Finding]) -> str:
    """How many findings there are of each gravity, in words."""
    counts = {word: sum(item.severity == word for item in found) for word in TITLES}
    said = [f"{n} {word}{'' if n == 1 else 's'}" for word, n in counts.items() if n]
    return ", ".join(said) if said else "Nothing to mend."
