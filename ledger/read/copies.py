"""Copies of sheets and columns: one that says the same is left aside, another is asked about.

Of two sheets that are the same one, the sheet that the workbook's names point at is used
(copying a sheet leaves them with the original), else the first in the workbook.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from ledger import findings
from ledger.layout import letter
from ledger.model import Definitions, Finding, Row
from ledger.read.recognise import Spotted


def original(alike: Sequence[Spotted]) -> Spotted:
    """Which of several sheets with the same identity is the one to read."""
    return max(alike, key=lambda spotted: len(spotted.claims.names))


def sheet_found(
    used: Spotted, copy: Spotted, rows: Mapping[str, Sequence[Row]], definitions: Definitions
) -> Finding:
    """A second sheet of a kind: a note when it adds nothing, an error when it does."""
    ours, theirs = _said(rows[used.tab.name]), _said(rows[copy.tab.name])
    code = "copy-ignored" if theirs in ([], ours) else "sheet-twice"
    names = {"read": copy.tab.name, "expected": used.tab.name}
    return findings.at(definitions, code, copy.tab.name, "A1", **names)


def _said(rows: Sequence[Row]) -> list[str]:
    return sorted(repr(sorted(row.cells.items())) for row in rows if row.cells)


def columns_found(spotted: Spotted, definitions: Definitions) -> list[Finding]:
    """Columns that seem to be one that was found elsewhere already."""
    found = []
    for column, place in spotted.settled.twins:
        used = spotted.settled.places[column]
        ours, theirs = _cells(spotted, used), _cells(spotted, place)
        code = "copy-ignored" if theirs in ([], ours) else "column-twice"
        words = _words(spotted, column, used, place, code)
        at = spotted.address(place)
        found.append(findings.at(definitions, code, spotted.tab.name, at, **words))
    return found


def _words(spotted: Spotted, column: str, used: int, place: int, code: str) -> dict[str, str]:
    rows = spotted.sheet.layout == "pairs"
    one, other = (f"row {at}" if rows else letter(at) for at in (used, place))
    if code == "copy-ignored":
        return {"read": other, "expected": one}
    return {"read": f"{one}, {other}", "expected": spotted.sheet.by_id[column].title}


def _cells(spotted: Spotted, place: int) -> list[tuple[int, Any]]:
    """What stands in a column, or beside a question, but for keys and headings."""
    if spotted.sheet.layout == "pairs":
        answers = dict(spotted.lines).get(place, {})
        return [cell for cell in answers.items() if cell[0] >= spotted.claims.heading_line]
    top = {spotted.claims.key_line, spotted.claims.heading_line}
    lines = ((number, cells) for number, cells in spotted.lines if number not in top)
    return [(number, cells[place]) for number, cells in lines if place in cells]
