"""Lines that look like one load entered twice.

Two lines are alike when day, names and choices agree and they move the same mass to the same
zones. The masses come from the postings, so that a rate and the total it makes are seen to be
the same. Texts a person writes freely (weather, who drove) are not looked at.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
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
    masses = {id(entry): moved for entry, moved in journal.postings.moved_by_line()}
    for name, sheet in definitions.sheets.items():
        if not sheet.posting or sheet.posting["stream"] not in STREAMS:
            continue
        column = next(c.id for c in sheet.columns if c.required and c.is_number)
        for group in _groups(book, name, sheet, masses):
            for first, second in pairwise(_by_size(group, column, masses)):
                if isclose(first[0], second[0], rel_tol=ROUNDED):
                    earlier, later = sorted((first[1], second[1]), key=lambda e: e.row.number)
                    words = {"expected": earlier.row.number}
                    yield findings.finding(definitions, "looks-twice", later.row, column, **words)


def _groups(book: Book, name: str, sheet: Sheet, masses: Mapping[int, float]) -> list[list[Entry]]:
    """Lines of a sheet that agree in all but the amount; what posts nothing agrees in unit too."""
    compared = [column.id for column in sheet.columns if _is_compared(column)]
    groups: dict[tuple[object, ...], list[Entry]] = {}
    for entry in applied(book, name):
        unit = "" if id(entry) in masses else entry.text("unit")
        key = (*ground_of(shares(entry, book)), unit, *map(entry.values.get, compared))
        groups.setdefault(key, []).append(entry)
    return [group for group in groups.values() if len(group) > 1]


def _is_compared(column: Column) -> bool:
    telling = column.is_date or column.lookup is not None or bool(column.choices)
    return telling and column.id not in NOT_COMPARED


def _by_size(
    group: list[Entry], column: str, masses: Mapping[int, float]
) -> list[tuple[float, Entry]]:
    sized = [(masses.get(id(e), e.number(column) or 0.0), e) for e in group]
    return sorted(sized, key=lambda pair: (pair[0], pair[1].row.number))
