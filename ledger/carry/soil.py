"""Soil tests that are still in date at the start of the new crop year."""

from __future__ import annotations

from datetime import date

from ledger.carry.cells import as_typed
from ledger.carry.take import FAULTY, Taken
from ledger.model import Definitions, Entry, Results

DAYS_A_YEAR = 365.25
NITRATE = "nitrate samples, which belong to their year"
OLD = "older than the Farm sheet allows"


def soil_tests(results: Results, definitions: Definitions) -> Taken:
    """Routine tests no older than the farm's limit; all of them where no limit is set.

    A nitrate sample is about its own spring and never goes over.
    """
    sheet = definitions.sheets["soil_tests"]
    limit = results.book.farm.number("soil_test_max_age")
    start = date(results.book.year + 1, 1, 1)
    kept, dropped = [], dict[str, int]()
    for entry in results.book.entries.get("soil_tests", ()):
        why = _why_not(entry, limit, start)
        if why:
            dropped[why] = dropped.get(why, 0) + 1
        else:
            kept.append(as_typed(entry, sheet))
    return Taken(lines=kept, dropped=dropped)


def _why_not(entry: Entry, limit: float | None, start: date) -> str:
    day = entry.day("date")
    if entry.faulty or day is None:
        return FAULTY
    if entry.text("sample_kind", "routine") != "routine":
        return NITRATE
    old = limit is not None and (start - day).days > limit * DAYS_A_YEAR
    return OLD if old else ""
