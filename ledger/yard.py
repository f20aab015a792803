"""Manure lots and the stores they lie in: questions that posting, stores and the gate ask."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ledger.layout import fold
from ledger.model import Book, Definitions, Entry

# Whether a move brings something into a store (1) or takes it out (-1).
MOVE_SIGNS: Mapping[str, int] = {"produced": 1, "imported": 1, "exported": -1, "lost": -1}


def kept_stores(book: Book) -> Mapping[str, Entry]:
    """The lines of the stores sheet by folded name; the first of a name counts."""
    found: dict[str, Entry] = {}
    for entry in book.entries.get("stores", ()):
        if entry.text("store"):
            found.setdefault(fold(entry.text("store")), entry)
    return found


def lots_in(book: Book, store: str) -> Sequence[Entry]:
    """The lots that lie in a store, in the order of their sheet."""
    return [
        lot
        for lot in book.entries.get("manure_lots", ())
        if not lot.faulty and fold(lot.text("store")) == fold(store)
    ]


def slips_at_fault(lot: Entry, book: Book) -> Sequence[Entry]:
    """The lab slips in error for which a lot is left out."""
    slips = book.entries.get("manure_samples", ())
    return [slip for slip in slips if slip.faulty and slip.text("lot") == lot.text("lot")]


def origin(lot: Entry | None, stores: Mapping[str, Entry]) -> str:
    """Where a lot comes from: a store that is ``kept``, a ``supplier``, or ``home`` unkept."""
    if lot is not None and fold(lot.text("store")) in stores:
        return "kept"
    return "supplier" if lot is not None and lot.text("supplier") else "home"


def analysis_base(lot: Entry, definitions: Definitions) -> str:
    """Whether a lot's analysis is per volume (L) or per mass (kg)."""
    column = definitions.sheets["manure_lots"].by_id["n_total"]
    unit = column.unit_of_choice.get(lot.text("per"), "")
    quantity = definitions.units[unit].quantity if unit else ""
    return "L" if quantity == "mass per volume" else "kg"


def base_of(unit: str, definitions: Definitions) -> str:
    """The base that amounts in a unit of mass or volume are converted to: kg or L."""
    return "L" if definitions.units[unit].quantity.startswith("volume") else "kg"


def converted(amount: float, base: str, wanted: str, lot: Entry | None) -> float | None:
    """An amount in kg as L or the other way round, by the lot's density; None without one."""
    if base == wanted:
        return amount
    density = lot.number("density") if lot is not None else None
    if density is None:
        return None
    return amount * density if wanted == "kg" else amount / density
