"""The stores' closing becomes their opening, the day after the last line about them."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from ledger.carry.cells import Cells, as_typed, in_units
from ledger.carry.take import FAULTY, Taken
from ledger.layout import fold
from ledger.model import Definitions, Entry, Results, StoreStatement
from ledger.yard import lots_in

LEVELS = ("opening", "opening_depth", "opening_date", "counted", "counted_depth", "counted_date")


def store_openings(results: Results, definitions: Definitions) -> Taken:
    """One line a store: its shape as typed, its opening by the level or the books.

    The measured level counts, moved on by what came after it; without one the closing of
    the books. An unknown closing leaves the opening blank, and one below zero does too.
    """
    lines = results.book.entries.get("stores", ())
    statements = results.yard.stores
    blank = [one.name for one in statements if not _known(closing_of(one))]
    dropped = len(lines) - len(statements)
    return Taken(
        lines=[_cells(one, results, definitions) for one in statements],
        dropped={FAULTY: dropped} if dropped else {},
        remarks=[f"opening to be measured: {', '.join(blank)}"] if blank else [],
    )


def closing_of(one: StoreStatement) -> float | None:
    """The level at the end [L or kg]: the measured one and what came after it."""
    if one.counted is None or one.difference is None or one.closing is None:
        return one.closing
    return one.closing + one.difference


def _known(level: float | None) -> bool:
    return level is not None and level >= 0


def _cells(one: StoreStatement, results: Results, definitions: Definitions) -> Cells:
    sheet = definitions.sheets["stores"]
    kept = {n: c for n, c in as_typed(one.entry, sheet).items() if n not in LEVELS}
    level = closing_of(one)
    if not _known(level):
        return kept
    opening = in_units(
        {"opening": level, "unit": one.unit}, sheet, results.book.system, definitions
    )
    day = _last_day(one, results)
    start: Cells = {"opening_date": day + timedelta(days=1)} if day else {}
    return {**kept, **opening, **start}


def _last_day(one: StoreStatement, results: Results) -> date | None:
    """The last day that a line or a measuring is about this store."""
    lots = {lot.text("lot") for lot in lots_in(results.book, one.name)}
    lines: Sequence[Entry] = [
        *(draw.entry for draw in results.journal.draws if draw.lot.text("lot") in lots),
        *(
            entry
            for entry in results.book.entries.get("store_moves", ())
            if fold(entry.text("store")) == fold(one.name) and not entry.faulty
        ),
    ]
    days = [entry.day("date") for entry in lines]
    days += [one.counted_date, one.entry.day("opening_date")]
    return max((day for day in days if day is not None), default=None)
