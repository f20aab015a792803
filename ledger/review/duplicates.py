"""Lines that look like one load entered twice.

Two lines are alike when day, names and choices agree and they move the same mass to the same
zones. The masses come from the postings, so that a rate and the total it makes are seen to be
the same. Texts a person writes freely (weather, who drove) are not looked at.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from math import isclose

from ledger import findings
from ledger.ground import ground_of, shares
from ledger.model import Book, Column, Definitions, Entry, Finding, Journal, Sheet
from ledger.review.lines import applied

STREAMS = ("manure", "fertilizer", "removal")
ROUNDED = 0.005  # a total written down in round figures is this near to rate times area
NOT_COMPARED = ("field", "zone", "unit", "status")  # zones are compared as ground covered


def look_alikes(book: Book, journal: Journal, definitions: Definitions) -> Iterator[Finding]:
    """A finding for every line that repeats an earlier one."""
    for name, sheet in definitions.sheets.items():
        if not sheet.posting or sheet.posting["stream"] not in STREAMS:
            continue
        column = next(c.id for c in sheet.columns if c.required and c.is_number)
        alike = _groups(book, name, sheet)
        masses = _masses(journal, alike)
        for group in _of_a_unit(alike, masses):
            for first, second in pairwise(_by_size(group, column, masses)):
                if isclose(first[0], second[0], rel_tol=ROUNDED):
                    earlier, later = sorted((first[1], second[1]), key=lambda e: e.row.number)
                    words = {"expected": earlier.row.number}
                    yield findings.finding(definitions, "looks-twice", later.row, column, **words)


def _groups(book: Book, name: str, sheet: Sheet) -> list[list[Entry]]:
    """Lines of a sheet that agree in all but the amount and its unit."""
    compared = [column.id for column in sheet.columns if _is_compared(column)]
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for entry in applied(book, name):
        key = (*ground_of(shares(entry, book)), *map(entry.get, compared))
        groups.setdefault(key, []).append(entry)
    return [group for group in groups.values() if len(group) > 1]


def _masses(journal: Journal, groups: Iterable[Iterable[Entry]]) -> Mapping[int, float]:
    """How much each of these lines moves in all [kg]; without those that post nothing."""
    asked = {id(entry) for group in groups for entry in group}
    postings = journal.postings.by_entry(lambda entry: id(entry) in asked)
    return {id(entry): moved for entry, moved in postings.moved_by_line()}


def _of_a_unit(
    groups: Iterable[Iterable[Entry]], masses: Mapping[int, float]
) -> Iterator[list[Entry]]:
    """The groups again, but what posts nothing parted by the unit of its amount."""
    for group in groups:
        parts: dict[str, list[Entry]] = {}
        for entry in group:
            unit = "" if id(entry) in masses else entry.text("unit")
            parts.setdefault(unit, []).append(entry)
        yield from parts.values()


def _is_compared(column: Column) -> bool:
    telling = column.is_date or column.lookup is not None or bool(column.choices)
    return telling and column.id not in NOT_COMPARED


def _by_size(
    group: list[Entry], column: str, masses: Mapping[int, float]
) -> list[tuple[float, Entry]]:
    sized = [(masses.get(id(e), e.number(column) or 0.0), e) for e in group]
    return sorted(sized, key=lambda pair: (pair[0], pair[1].row.number))
