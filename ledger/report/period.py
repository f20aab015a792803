"""The days a report covers, and what of the ledger falls within them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from ledger.model import Book, Definitions, Entry, Journal
from ledger.season import crop_year

CROP_YEAR = "crop-year"
PERIODS = (CROP_YEAR, "calendar-year", "september-august")
NAMES = {
    CROP_YEAR: "crop year",
    "calendar-year": "calendar year",
    "september-august": "September to August",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Period:
    """A named run of days, both ends included."""

    name: str
    first: date
    last: date

    def holds(self, entry: Entry) -> bool:
        """True for lines of these days, and for lines that state no day."""
        day = entry.day("date")
        return day is None or self.first <= day <= self.last

    def words(self) -> str:
        """The period as the report states it."""
        return f"{NAMES[self.name]}, {self.first} to {self.last}"


def period_of(name: str, year: int, definitions: Definitions) -> Period:
    """One of ``PERIODS`` for a crop year; KeyError for another name."""
    days = {
        CROP_YEAR: crop_year(year, definitions),
        "calendar-year": (date(year, 1, 1), date(year, 12, 31)),
        "september-august": (date(year - 1, 9, 1), date(year, 8, 31)),
    }
    first, last = days[name]
    return Period(name=name, first=first, last=last)


def book_within(book: Book, period: Period, definitions: Definitions) -> Book:
    """The book with the dated work and harvest of a period; tests and settings all stay.

    Cut are the sheets whose day must lie in the crop year; soil tests of earlier years, say,
    stay, since they hold for the period.
    """
    dated = {
        sheet.id
        for sheet in definitions.sheets.values()
        if any(column.id == "date" and column.within for column in sheet.columns)
    }
    entries = {
        name: [entry for entry in group if period.holds(entry)] if name in dated else group
        for name, group in book.entries.items()
    }
    return replace(book, entries=entries)


def journal_within(journal: Journal, book: Book) -> Journal:
    """The postings and gaps of the entries that a book still holds."""
    kept = {id(entry) for group in book.entries.values() for entry in group}
    kept.add(id(book.farm))
    return Journal(
        postings=journal.postings.by_entry(lambda entry: id(entry) in kept),
        gaps=[gap for gap in journal.gaps if id(gap.entry) in kept],
    )
