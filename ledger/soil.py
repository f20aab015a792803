"""Soil tests of a zone: the latest of a kind, and nitrate samples as layers.

Nitrate moves, so a nitrate sample counts in its own crop year alone; a routine sample lasts.
"""

from __future__ import annotations

from datetime import date

from ledger.model import Book, Definitions, Entry, Zone
from ledger.season import crop_year

LASTING = "routine"


def samples(book: Book, zone: Zone, kind: str, definitions: Definitions) -> list[Entry]:
    """The sound lines of the zone's latest test of a kind; its own before the whole field's.

    A line without a kind is a routine one.
    """
    lines = [
        e
        for e in book.entries.get("soil_tests", ())
        if not e.faulty
        and e.text("field") == zone.field
        and e.text("zone") in ("", zone.zone)
        and e.text("sample_kind", LASTING) == kind
        and (kind == LASTING or _of_this_year(e, book, definitions))
    ]
    own = [e for e in lines if e.text("zone")] or lines
    latest = max((e.day("date") or date.min for e in own), default=None)
    return [e for e in own if e.day("date") == latest]


def _of_this_year(test: Entry, book: Book, definitions: Definitions) -> bool:
    if not book.year:  # an error of the Farm sheet; no day can be told to lie in the year
        return False
    first, last = crop_year(book.year, definitions)
    return first <= (test.day("date") or date.min) <= last


def layers(tests: list[Entry]) -> list[tuple[Entry, float]]:
    """Nitrate lines with the thickness of their layer [m], from the surface down."""
    with_depth = [
        (entry, bottom)
        for entry in tests
        if (bottom := entry.number("nitrate_depth")) and entry.number("nitrate_ppm") is not None
    ]
    found = []
    top = 0.0
    for entry, bottom in sorted(with_depth, key=lambda pair: pair[1]):
        if bottom > top:
            found.append((entry, bottom - top))
            top = bottom
    return found
