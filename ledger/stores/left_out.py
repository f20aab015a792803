"""Lines of a store that are not in its sums because of an error, of their own or of their lot."""

from __future__ import annotations

from collections.abc import Iterator

from ledger.layout import fold
from ledger.model import Entry, Journal
from ledger.stores.desk import StoreDesk


def left_out(store: Entry, journal: Journal, desk: StoreDesk) -> list[Entry]:
    """Moves and spreading that belong to a store, or may for all they say, and do not count."""
    start = store.day("opening_date")
    found = [*_moves(store, desk), *_spreading(store, journal, desk)]
    days = ((entry, entry.day("date")) for entry in found)
    return [entry for entry, day in days if start is None or day is None or day >= start]


def _moves(store: Entry, desk: StoreDesk) -> Iterator[Entry]:
    for entry in desk.book.entries.get("store_moves", ()):
        if entry.faulty and fold(entry.text("store")) in ("", fold(store.text("store"))):
            yield entry


def _spreading(store: Entry, journal: Journal, desk: StoreDesk) -> Iterator[Entry]:
    drawn = {id(draw.entry) for draw in journal.draws}
    lots = desk.book.named("manure_lots", "lot")
    for entry in desk.book.entries.get("manure_spread", ()):
        if id(entry) in drawn or entry.text("status") == "planned":
            continue
        lot = lots.get(entry.text("lot"))
        if lot is None or fold(lot.text("store")) == fold(store.text("store")):
            yield entry
