"""Stores: what was in them, what went in and out, and what the level says to that.

A stage: ``stores(book, journal, definitions) -> (Yard, findings)``. A measured level is an
assertion: it never replaces what the lines add up to, the difference is shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from ledger import findings
from ledger.layout import fold
from ledger.model import (
    Book,
    Definitions,
    Entry,
    Finding,
    HerdEstimate,
    Journal,
    StoreStatement,
    Yard,
)
from ledger.stores.desk import SLACK, StoreDesk
from ledger.stores.flows import flows_of
from ledger.stores.herd import estimates, in_store_base
from ledger.stores.left_out import left_out
from ledger.stores.level import LevelReader
from ledger.stores.sums import Sums, contents, expected_on, sums_of, tolerance_of
from ledger.yard import kept_stores, lots_in, origin

__all__ = ["stores"]


def stores(book: Book, journal: Journal, definitions: Definitions) -> tuple[Yard, list[Finding]]:
    """Statements of all stores and the herd's estimate; findings about them.

    Amounts are in litres or kilograms, as the store is kept; what cannot be told is None.
    """
    desk = StoreDesk(book=book, definitions=definitions)
    kept = kept_stores(book)
    herd = estimates(book, definitions)
    statements = [
        _statement(entry, journal, herd, desk) for entry in kept.values() if not entry.faulty
    ]
    if kept:
        _unknown_stores(kept, desk)
        _without_store(journal, kept, desk)
    return Yard(stores=statements, herd=herd), desk.found


def _statement(
    entry: Entry, journal: Journal, herd: Sequence[HerdEstimate], desk: StoreDesk
) -> StoreStatement:
    level = LevelReader(entry=entry, lots=lots_in(desk.book, entry.text("store")), desk=desk)
    opening, capacity = level.amount("opening", "opening_depth"), level.capacity()
    counted, day = level.amount("counted", "counted_depth"), entry.day("counted_date")
    flows = flows_of(entry, journal, desk)
    missed = left_out(entry, journal, desk)
    desk.walk(entry, opening, capacity, flows, missed)
    sums = sums_of(opening, flows)
    then = expected_on(day, opening, flows) if counted is not None and day else None
    tolerance = tolerance_of(desk)
    difference = None if then is None or then.closing is None else (counted or 0.0) - then.closing
    statement = StoreStatement(
        name=entry.text("store"),
        entry=entry,
        quantity=desk.quantity(entry),
        unit=entry.text("unit"),
        opening=opening,
        sums=sums.amounts,
        closing=sums.closing,
        capacity=capacity,
        counted=counted,
        counted_date=day,
        expected=then.closing if then else None,
        difference=difference,
        tolerance_pct=tolerance,
        within=_within(difference, then, tolerance),
        estimate=in_store_base(entry, herd, desk),
        implied=then.implied(counted) if then else None,
        lots=[lot.text("lot") for lot in level.lots],
        holds=contents(sums.closing, level.lots, desk.base(entry), desk),
        flows=flows,
        left_out=missed,
    )
    if statement.within is False:
        desk.off(statement, [e for e in missed if _by(day, e)])
    return statement


def _by(day: date | None, line: Entry) -> bool:
    """Whether a line that does not count may have moved the level of a day."""
    moved = line.day("date")
    return day is None or moved is None or moved <= day


def _within(difference: float | None, then: Sums | None, tolerance: float) -> bool | None:
    """Whether a difference lies within the tolerance of what went through the store."""
    if difference is None or then is None or then.through is None:
        return None
    return abs(difference) <= then.through * (tolerance / 100 + SLACK)


def _unknown_stores(kept: Mapping[str, Entry], desk: StoreDesk) -> None:
    names = [entry.text("store") for entry in kept.values()]
    for lot in desk.book.entries.get("manure_lots", ()):
        name = lot.text("store")
        if name and fold(name) not in kept:
            desk.note("store-unknown", lot, "store", read=name, hint=findings.hint(name, names))


def _without_store(journal: Journal, kept: Mapping[str, Entry], desk: StoreDesk) -> None:
    """Point out the first line of every lot that came out of nowhere."""
    seen: set[str] = set()
    for draw in journal.draws:
        name = draw.lot.text("lot")
        stray = origin(draw.lot, kept) == "home" and not draw.lot.text("store")
        if stray and name not in seen:
            seen.add(name)
            desk.note("spread-without-store", draw.entry, "lot", read=name)
