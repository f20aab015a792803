"""Cells that rules often want filled in and that are blank, gathered by column."""

from __future__ import annotations

from collections.abc import Iterator

from ledger import findings
from ledger.model import Book, Definitions, Entry, Finding, RecordItem, RecordPlace, Value
from ledger.plural import many
from ledger.review.lines import applied, rows

WANTED = "record_reminders"


def blank_records(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """One note a column that keeps a record item, in its first blank cell.

    Nothing when the Farm sheet says that no reminders are wanted.
    """
    if book.farm.text(WANTED) != "yes":
        return
    done = {sheet: list(applied(book, sheet)) for sheet in definitions.sheets}
    for item in definitions.records:
        for place in item.places:
            lines = done[place.sheet]
            if place.when:
                lines = [entry for entry in lines if _is_asked(entry, place)]
            blank = [entry for entry in lines if _is_blank(entry.get(place.column))]
            if blank:
                yield _note(item, place, blank, len(lines), definitions)


def _is_asked(entry: Entry, place: RecordPlace) -> bool:
    return all(entry.text(column) in words for column, words in place.when.items())


def _is_blank(value: Value | None) -> bool:
    return value is None or (isinstance(value, str) and not value.strip())


def _note(
    item: RecordItem, place: RecordPlace, blank: list[Entry], asked: int, definitions: Definitions
) -> Finding:
    sheet = definitions.sheets[place.sheet]
    count = f"in {len(blank)} of {many(asked, 'line')}"
    where = f" {count} ({rows([entry.row.number for entry in blank])})"
    words = {
        "expected": sheet.by_id[place.column].title,
        "read": "" if sheet.layout == "pairs" else where,
        "name": item.words,
        "source": item.citation(),
        "years": item.years,
    }
    code = "record-item-missing"
    return findings.finding(definitions, code, blank[0].row, place.column, **words)
