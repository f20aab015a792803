"""Samples that were too old when they were used, by the limits of the Farm sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date

from ledger import findings
from ledger.ground import label
from ledger.model import Book, Definitions, Entry, Finding, Journal, Posting, Zone
from ledger.review.lines import applied
from ledger.soil import LASTING, samples

DAYS_A_YEAR = 365.25
STREAMS = ("manure", "fertilizer")


def old_manure_samples(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each lot whose sample was over the limit [days] when last spread."""
    limit_days = book.farm.number("manure_test_max_age")
    if limit_days is None:
        return
    last, newest = _last_spread(book), _newest_slips(book)
    for lot in book.entries.get("manure_lots", ()):
        sampled, spread = newest.get(lot.text("lot")), last.get(lot.text("lot"))
        if sampled is None or spread is None:
            continue
        age_days = (spread[0] - sampled).days
        if age_days > limit_days:
            words = {
                "name": lot.text("lot"),
                "read": age_days,
                "day": spread[0],
                "line": spread[1].row.number,
                "expected": f"{limit_days:g}",
            }
            yield findings.finding(definitions, "manure-sample-old", lot.row, "sampled", **words)


def _newest_slips(book: Book) -> Mapping[str, date]:
    """The day of each lot's last sample, its own or a further one."""
    newest: dict[str, date] = {}
    for sheet in ("manure_lots", "manure_samples"):
        for entry in book.entries.get(sheet, ()):
            name, day = entry.text("lot"), entry.day("sampled")
            if day:
                newest[name] = max(day, newest.get(name, day))
    return newest


def _last_spread(book: Book) -> Mapping[str, tuple[date, Entry]]:
    """The last day each lot was spread, and the line that says so."""
    last: dict[str, tuple[date, Entry]] = {}
    for entry in applied(book, "manure_spread"):
        day, lot = entry.day("date"), entry.text("lot")
        if day and (lot not in last or day > last[lot][0]):
            last[lot] = (day, entry)
    return last


def old_soil_tests(book: Book, journal: Journal, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each newest routine soil test over the limit [years] when ground was fed.

    Ground that got nothing is judged on the first day of the calendar year of its crop.
    """
    limit_years = book.farm.number("soil_test_max_age")
    if limit_years is None or not book.year:
        return
    fed = _last_fed(journal)
    seen: set[int] = set()
    for zone in (zone for group in book.zones.values() for zone in group):
        day = fed.get(zone, date(book.year, 1, 1))
        for test in samples(book, zone, LASTING, definitions):
            age_years = (day - (test.day("date") or day)).days / DAYS_A_YEAR
            if age_years > limit_years and id(test) not in seen:
                seen.add(id(test))
                words = {
                    "name": label(book, zone) if test.text("zone") else zone.field,
                    "read": f"{age_years:.1f}",
                    "day": day,
                    "expected": f"{limit_years:g}",
                }
                yield findings.finding(definitions, "soil-test-old", test.row, "date", **words)


def _last_fed(journal: Journal) -> Mapping[Zone, date]:
    fed = journal.postings.where(lambda kind: kind.stream in STREAMS)
    days = {zone: _last(own) for zone, own in fed.grouped(lambda kind: kind.zone).items()}
    return {zone: day for zone, day in days.items() if day}


def _last(postings: Iterable[Posting]) -> date | None:
    return max((day for posting in postings if (day := posting.date)), default=None)
