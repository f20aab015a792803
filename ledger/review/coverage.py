"""Lines that each cover part of a zone and together cover more than there is."""

from __future__ import annotations

from collections.abc import Iterator
from math import fsum

from ledger import findings
from ledger.ground import Share, label, shares
from ledger.model import Book, Column, Definitions, Entry, Finding, Sheet, Zone
from ledger.review.lines import applied, rows, shown

COVERED = "area_covered"
AREA_SLACK = 1.001  # areas typed with few digits may exceed their sum by a hair
Part = tuple[Entry, Share]


def parts_over_whole(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each zone, day, pass and material whose parts exceed the zone."""
    for name, sheet in definitions.sheets.items():
        if not _is_by_trip(sheet):
            continue
        for zone, parts in _parts(book, name, sheet):
            covered = fsum(share.area for _, share in parts)
            if len(parts) > 1 and covered > zone.area * AREA_SLACK:
                last = parts[-1][0]
                words = {
                    "name": label(book, zone),
                    "read": shown(book, definitions, "area", covered),
                    "expected": shown(book, definitions, "area", zone.area),
                    "rows": rows([entry.row.number for entry, _ in parts]),
                }
                yield findings.finding(definitions, "parts-over-whole", last.row, COVERED, **words)


def _is_by_trip(sheet: Sheet) -> bool:
    """Without a day nobody can say which lines are of one trip."""
    return COVERED in sheet.by_id and any(c.is_date and c.required for c in sheet.columns)


def _parts(book: Book, name: str, sheet: Sheet) -> Iterator[tuple[Zone, list[Part]]]:
    """Part coverage of a sheet by zone, day, pass and material."""
    told_apart = [column.id for column in sheet.columns if _tells_apart(column)]
    groups: dict[tuple[object, ...], list[Part]] = {}
    for entry in applied(book, name):
        if entry.get(COVERED) is None:
            continue
        trip = tuple(entry.get(column) for column in told_apart)
        for share in shares(entry, book):
            groups.setdefault((share.zone, *trip), []).append((entry, share))
    for parts in groups.values():
        yield parts[0][1].zone, parts


def _tells_apart(column: Column) -> bool:
    """Day, pass, material and the like make another trip; field and zone are in the key."""
    telling = column.is_date or column.lookup is not None or bool(column.choices)
    return telling and column.id not in ("field", "zone", "unit", "status", "ground")
