"""Manure and fertilizer put on after this year's crop was off the field.

The ledger counts a line to the crop of its workbook's year, which can no longer use it. A crop
that is cut again and again, and one that is not harvested yet, still can.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from ledger import findings
from ledger.ground import crop_entry, label, shares
from ledger.model import Book, Definitions, Entry, Finding, Zone
from ledger.review.lines import applied, rows

STREAMS = ("manure", "fertilizer")
CUT_AGAIN = "hay"  # the main part of crops that go on growing after a cut
LINES_TOLD = 3  # of a field; of more the first is told, and how many follow
Late = tuple[Entry, Sequence[Zone]]


def after_harvest(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each line dated after the last harvest of the crop on its ground."""
    last = _last_harvests(book, definitions)
    for name, sheet in definitions.sheets.items():
        if not last or not sheet.posting or sheet.posting["stream"] not in STREAMS:
            continue
        for late in _by_field(book, name, last):
            single = len(late) <= LINES_TOLD
            for line in late if single else late[:1]:
                rest = [] if single else [entry.row.number for entry, _ in late[1:]]
                yield _finding(line, rest, last, book, definitions)


def _last_harvests(book: Book, definitions: Definitions) -> Mapping[Zone, Entry]:
    """The last harvest line of every zone whose crop of the year is off and does not regrow."""
    cuts: dict[Zone, list[Entry]] = {}
    for entry in applied(book, "harvest"):
        if entry.day("date") and entry.number("yield"):  # a failed crop may have been replanted
            for share in shares(entry, book):
                cuts.setdefault(share.zone, []).append(entry)
    return {
        zone: max(lines, key=_day)
        for zone, lines in cuts.items()
        if _is_off(zone, lines, book, definitions)
    }


def _is_off(zone: Zone, lines: Sequence[Entry], book: Book, definitions: Definitions) -> bool:
    """Whether the crop of the year, or else the last one cut, is harvested for good."""
    planned = crop_entry(book, zone)
    if planned and planned.faulty:
        return False
    crop = planned.text("crop") if planned else max(lines, key=_day).text("crop")
    harvested = any(entry.text("crop") == crop for entry in lines)
    return harvested and definitions.crops[crop].main_part != CUT_AGAIN


def _day(entry: Entry) -> date:
    return entry.day("date") or date.min


def _by_field(book: Book, sheet: str, last: Mapping[Zone, Entry]) -> Iterator[Sequence[Late]]:
    """The late lines of a sheet, a group a field, each with the zones that it came late for."""
    groups: dict[str, list[Late]] = {}
    zones = (zone for group in book.zones.values() for zone in group if zone in last)
    days = {id(zone): _day(last[zone]) for zone in zones}  # asked of every line
    for entry in applied(book, sheet):
        day, parts = _day(entry), shares(entry, book)
        late = [s.zone for s in parts if day > days.get(id(s.zone), date.max)]
        if late:
            groups.setdefault(late[0].field, []).append((entry, late))
    yield from groups.values()


def _finding(
    line: Late,
    rest: Sequence[int],
    last: Mapping[Zone, Entry],
    book: Book,
    definitions: Definitions,
) -> Finding:
    entry, zones = line
    whole = len(zones) == len(book.zones[zones[0].field])
    cut = last[zones[0]]
    count = f"{len(rest)} more {'line' if len(rest) == 1 else 'lines'}"
    words = {
        "name": zones[0].field if whole else label(book, zones[0]),
        "read": _day(entry),
        "crop": cut.text("crop"),
        "expected": f"{_day(cut)} ({cut.row.grid.sheet_name} row {cut.row.number})",
        "more": f", and so are {count} of this field ({rows(rest)})" if rest else "",
    }
    return findings.finding(definitions, "after-harvest", entry.row, "date", **words)
