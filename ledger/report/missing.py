"""Record items that are often asked for and stand blank in the workbook."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ledger.model import Book, Definitions, Entry, RecordItem, RecordPlace
from ledger.report.tables import Heading, Line, Table

SHOWN_CELLS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A record item and the blank cells (``Sheet!A1``) it was looked for in."""

    words: str
    cells: tuple[str, ...]


def missing_items(book: Book, definitions: Definitions) -> list[Missing]:
    """Items of ``templates/records.json`` with a blank cell in a line that should hold them.

    Planned lines are no record yet; ground without a routine soil test is an item too.
    """
    found = []
    for item in definitions.records:
        cells = tuple(dict.fromkeys(_blank_cells(item, book)))
        if cells:
            found.append(Missing(words=item.words, cells=cells))
    without = tuple(_untested(book))
    if without:
        found.append(Missing(words="a soil test of the field", cells=without))
    return found


def _blank_cells(item: RecordItem, book: Book) -> Iterator[str]:
    for place in item.places:
        for entry in book.entries.get(place.sheet, ()):
            if _wanted(entry, place) and entry.get(place.column) is None:
                row = entry.row
                yield f"{row.grid.sheet_name}!{row.address(place.column)}"


def _wanted(entry: Entry, place: RecordPlace) -> bool:
    """Whether a line should hold an item: it is applied, and its cells say the words asked."""
    if entry.text("status") == "planned" or entry.faulty:
        return False
    return all(entry.text(column) in words for column, words in place.when.items())


def _untested(book: Book) -> Iterator[str]:
    """Fields of one's own or rented without a routine soil test, as their own words."""
    tested = {
        entry.text("field")
        for entry in book.entries.get("soil_tests", ())
        if not entry.faulty and entry.text("sample_kind", "routine") == "routine"
    }
    for name, zones in book.zones.items():
        if name not in tested and not any(zone.custom for zone in zones):
            yield name


def missing_table(book: Book, definitions: Definitions) -> Table:
    """Missing items, how often, and where to fill them in."""
    headings = [
        Heading(text="Record item", format="wrapped", width=44),
        Heading(text="Times", format="whole", width=8),
        Heading(text="Where it is blank", format="wrapped", width=64),
    ]
    lines = [
        Line(cells=[item.words, len(item.cells), _listed(item.cells)])
        for item in missing_items(book, definitions)
    ]
    note = "Your own rule may ask for less or more; ask the office that wants the report."
    title = "Record items that are missing"
    return Table(title=title, headings=headings, lines=lines, note=note if lines else "None.")


def _listed(cells: tuple[str, ...]) -> str:
    more = len(cells) - SHOWN_CELLS
    return ", ".join(cells[:SHOWN_CELLS]) + (f" and {more} more" if more > 0 else "")


def not_covered(definitions: Definitions) -> list[str]:
    """What rules may want and the ledger does not hold, in words."""
    return [item.words for item in definitions.records if item.kept == "not covered"]
