"""Tables about manure: analyses, what was made and moved, what each lot gave, what left."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ledger.model import Book, Entry
from ledger.report.amounts import analysis, unit_of
from ledger.report.spans import rough, several_slips
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown
from ledger.report.work import Work, total_of

UNIT = Heading(text="Unit", format="text", width=8)


def lots_table(book: Book, shown: Shown, *, origin: bool = True) -> Table:
    """Every lot with its analysis; with ``origin`` the store and the supplier too."""
    columns = ("lot", "kind", "store", "supplier", "lab") if origin else ("lot", "kind", "lab")
    whence = (
        Heading(text="Store", format="wrapped", width=16),
        Heading(text="From", format="wrapped", width=24),
    )
    headings = [
        Heading(text="Lot", format="wrapped", width=18),
        Heading(text="Kind", format="text", width=14),
        *(whence if origin else ()),
        Heading(text="Lab", format="wrapped", width=22),
        Heading(text="Analysis as sampled", format="wrapped", width=56),
    ]
    lines = [
        Line(
            cells=[
                *(lot.text(column) for column in columns),
                analysis("manure", lot, book, shown.definitions),
            ]
        )
        for lot in book.entries.get("manure_lots", ())
        if not lot.faulty
    ]
    return Table(title="Manure lots and their analyses", headings=headings, lines=lines)


def lots_tables(book: Book, shown: Shown, *, origin: bool = True) -> list[Table]:
    """Lots with their analyses, and below them further lab slips where there are any."""
    slips = _slips_table(book, shown)
    return [lots_table(book, shown, origin=origin), *([slips] if slips.lines else [])]


def _slips_table(book: Book, shown: Shown) -> Table:
    slips = [e for e in book.entries.get("manure_samples", ()) if not e.faulty]
    headings = [
        Heading(text="Lot", format="wrapped", width=18),
        Heading(text="Lab", format="wrapped", width=18),
        Heading(text="Sample number", format="wrapped", width=14),
        Heading(text="Analysis as sampled", format="wrapped", width=56),
    ]
    lines = [
        Line(
            cells=[
                *(slip.text(column) for column in ("lot", "lab", "number")),
                analysis("manure", slip, book, shown.definitions),
            ]
        )
        for slip in slips
    ]
    return Table(title="Further manure samples", headings=headings, lines=lines)


def moves_table(book: Book, shown: Shown) -> Table:
    """Manure made, brought in, passed on and lost, as the sheet of store moves says."""
    headings = [
        Heading(text="Date", format="date", width=11),
        Heading(text="Store", format="wrapped", width=18),
        Heading(text="What", format="text", width=12),
        Heading(text="Amount", format="one", width=12),
        UNIT,
        Heading(text="Lot", format="wrapped", width=18),
        Heading(text="From or to", format="wrapped", width=36),
    ]
    moves = [e for e in book.entries.get("store_moves", ()) if not e.faulty]
    lines = [_move_line(e, shown) for e in sorted(moves, key=_by_day)]
    note = "Nothing is recorded." if not lines else ""
    return Table(
        title="Manure made, moved and passed on", headings=headings, lines=lines, note=note
    )


def _by_day(entry: Entry) -> date:
    return entry.day("date") or date.min


def _move_line(entry: Entry, shown: Shown) -> Line:
    unit = entry.text("unit")
    typed = entry.number("amount")
    factor = shown.definitions.units[unit].factor if unit else 1.0
    cells: list[Cell] = [
        entry.day("date") or "",
        entry.text("store"),
        entry.text("kind"),
        None if typed is None else typed / factor,
        unit,
        entry.text("lot"),
        entry.text("to_from"),
    ]
    return Line(cells=cells)


def spread_table(work: Sequence[Work], book: Book, shown: Shown) -> Table:
    """What was spread of each lot: on own and rented ground, and on the ground of others."""
    nutrients = list(shown.definitions.nutrients)
    headings = [
        Heading(text="Lot", format="wrapped", width=18),
        Heading(text="On the ground of", format="wrapped", width=24),
        Heading(text=f"Area [{shown.label('area')}]", width=9),
        Heading(text="Amount", format="one", width=12),
        UNIT,
        *(
            Heading(text=f"{n} [{shown.label('mass')}]", format="whole", width=10)
            for n in nutrients
        ),
    ]
    owners = {e.text("field"): e.text("owner") for e in book.entries.get("fields", ())}
    groups: dict[tuple[str, str], list[Work]] = {}
    for item in work:
        if item.kind == "manure" and not item.entry.faulty:
            whose = (owners.get(item.field) or "a customer") if item.custom else "this farm"
            groups.setdefault((item.name, whose), []).append(item)
    lines = [_spread_line(*key, group, book, shown) for key, group in groups.items()]
    note = "Area counts a piece of ground as often as it was covered."
    return Table(title="Manure spread", headings=headings, lines=lines, note=note)


def _spread_line(lot: str, whose: str, group: Sequence[Work], book: Book, shown: Shown) -> Line:
    bases = {item.base for item in group}
    base = bases.pop() if len(bases) == 1 else ""
    unit = unit_of("manure", base, book.system)
    factor = shown.definitions.units[unit].factor if unit else 1.0
    amount = total_of([item.amount for item in group]) if unit else None
    reach = any(item.material and several_slips(item.material) for item in group)
    return Line(
        cells=[
            lot,
            whose,
            shown.value("area", total_of([item.area for item in group])),
            None if amount is None else amount / factor,
            unit or "mixed",
            *(
                rough(shown.value("mass", total_of([item.nutrients[n] for item in group])), reach)
                for n in shown.definitions.nutrients
            ),
        ]
    )
