"""Everything that went into a store or out of it, in the store's own base."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ledger.layout import fold
from ledger.model import Entry, Flow, Journal
from ledger.stores.desk import StoreDesk
from ledger.yard import MOVE_SIGNS, base_of, converted, lots_in

MOVES: Mapping[str, str] = {
    "produced": "made",
    "imported": "brought",
    "exported": "sold",
    "lost": "lost",
}


def flows_of(store: Entry, journal: Journal, desk: StoreDesk) -> list[Flow]:
    """Moves and spreading of a store from its opening date on; amounts [L or kg]."""
    start = store.day("opening_date")
    found = [*_moves(store, desk), *_spreading(store, journal, desk)]
    return [f for f in found if start is None or f.day is None or f.day >= start]


def _moves(store: Entry, desk: StoreDesk) -> Iterator[Flow]:
    for entry in desk.book.entries.get("store_moves", ()):
        if entry.faulty or fold(entry.text("store")) != fold(store.text("store")):
            continue
        kind, sign = MOVES[entry.text("kind")], MOVE_SIGNS[entry.text("kind")]
        base = base_of(entry.text("unit"), desk.definitions)
        lot = _lot(entry, store, desk)
        amount = _in_base(entry.number("amount") or 0.0, base, store, lot, entry, desk)
        signed = None if amount is None else sign * amount
        yield Flow(day=entry.day("date"), kind=kind, amount=signed, entry=entry)


def _lot(entry: Entry, store: Entry, desk: StoreDesk) -> Entry | None:
    lots = lots_in(desk.book, store.text("store"))
    named = [lot for lot in lots if lot.text("lot") == entry.text("lot")]
    return next(iter(named or lots), None)


def _spreading(store: Entry, journal: Journal, desk: StoreDesk) -> Iterator[Flow]:
    for draw in journal.draws:
        if fold(draw.lot.text("store")) != fold(store.text("store")):
            continue
        amount = _in_base(draw.amount, draw.base, store, draw.lot, draw.entry, desk)
        taken = None if amount is None else -amount
        yield Flow(day=draw.entry.day("date"), kind="spread", amount=taken, entry=draw.entry)


def _in_base(
    amount: float, base: str, store: Entry, lot: Entry | None, entry: Entry, desk: StoreDesk
) -> float | None:
    """The amount in the store's base; None, with a finding, where a density is wanting."""
    found = converted(amount, base, desk.base(store), lot)
    if found is None:
        words = {"name": store.text("store"), "expected": store.text("unit")}
        desk.note("store-unit", entry, "unit", read=entry.text("unit"), **words)
    return found
