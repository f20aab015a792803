"""Tables of work: what went on where, how, by whom, in what weather."""

from __future__ import annotations

from collections.abc import Sequence

from ledger.model import Book, Definitions
from ledger.report.amounts import analysis, unit_of
from ledger.report.spans import rough, several_slips
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown
from ledger.report.work import Work

WHEN_WHERE = (
    Heading(text="No.", format="whole", width=5),
    Heading(text="Date", format="date", width=11),
    Heading(text="Field", format="wrapped", width=15),
    Heading(text="Zone", format="wrapped", width=11),
)
FAULTY = "has an error; not counted"


def _place(number: int, work: Work) -> list[Cell]:
    return [number, work.entry.day("date"), work.field, work.entry.text("zone", "all")]


def applied_table(work: Sequence[Work], book: Book, shown: Shown, title: str) -> Table:
    """What was put on: source, analysis, rate, total, nutrients per area; numbered lines."""
    nutrients = list(shown.definitions.nutrients)
    unit = shown.label("mass per area")
    headings = [
        *WHEN_WHERE,
        Heading(text=f"Area [{shown.label('area')}]", width=8),
        Heading(text="Source", format="wrapped", width=19),
        Heading(text="Analysis", format="wrapped", width=36),
        Heading(text="Rate", format="one", width=10),
        Heading(text="Total", format="one", width=11),
        Heading(text="Unit", format="text", width=8),
        *(Heading(text=f"{n} [{unit}]", width=8) for n in nutrients),
    ]
    lines = [_applied_line(number, item, book, shown) for number, item in enumerate(work, 1)]
    note = f"Rate: per {shown.label('area')}. Nutrients: all that the material held, per area."
    return Table(title=title, headings=headings, lines=lines, note=note)


def _applied_line(number: int, work: Work, book: Book, shown: Shown) -> Line:
    unit = unit_of(work.kind, work.base, book.system)
    factor = shown.definitions.units[unit].factor if unit else 1.0
    total = None if work.amount is None else work.amount / factor
    area = shown.value("area", work.area)
    material = work.material
    told = analysis(work.kind, material, book, shown.definitions) if material else FAULTY
    return Line(
        cells=[
            *_place(number, work),
            area,
            work.name,
            FAULTY if work.entry.faulty else told,
            total / area if total is not None and area else None,
            total,
            unit,
            *(
                rough(_per_area(mass, work.area, shown), material and several_slips(material))
                for mass in work.nutrients.values()
            ),
        ]
    )


def _per_area(mass: float | None, area: float, shown: Shown) -> float | None:
    return None if mass is None or not area else shown.value("mass per area", mass / area)


def how_table(work: Sequence[Work], book: Book, shown: Shown, title: str) -> Table:
    """How it was put on: method, working in, ground, weather, wind, who; same numbers."""
    headings = [
        *WHEN_WHERE,
        Heading(text="Source", format="wrapped", width=19),
        Heading(text="Loads", format="text", width=13),
        Heading(text="Pass", format="text", width=10),
        Heading(text="Method", format="wrapped", width=15),
        Heading(text="Worked in after [h]", width=10),
        Heading(text="Ground", format="text", width=9),
        Heading(text="Weather", format="wrapped", width=24),
        Heading(text="Wind", format="wrapped", width=12),
        Heading(text="Applied by", format="wrapped", width=22),
    ]
    lines = [_how_line(number, item, book, shown) for number, item in enumerate(work, 1)]
    note = "Blank: not recorded."
    return Table(title=title, headings=headings, lines=lines, note=note)


def _how_line(number: int, work: Work, book: Book, shown: Shown) -> Line:
    entry = work.entry
    hours: Cell = entry.number("incorporated_after_h")
    if hours is None:
        hours = entry.text("incorporated_after_h")
    return Line(
        cells=[
            *_place(number, work),
            work.name,
            loads(work, book, shown.definitions),
            entry.text("pass"),
            entry.text("method") or entry.text("placement"),
            hours,
            *(entry.text(column) for column in ("ground", "weather", "wind", "applicator")),
        ]
    )


def loads(work: Work, book: Book, definitions: Definitions) -> str:
    """Loads and what each holds, for lines counted in loads."""
    entry, count = work.entry, work.entry.number("amount")
    if entry.text("unit") != "loads" or count is None or work.material is None:
        return ""
    column = definitions.sheets[entry.row.grid.sheet_id].by_id["load_size"]
    unit = column.unit_by_form[book.system].get(work.material.text("form"), "")
    size = entry.number("load_size")
    return f"{count:g} x {'unknown' if size is None else f'{size:g}'} {unit}".rstrip()
