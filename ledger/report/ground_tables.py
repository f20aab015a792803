"""Tables about ground: fields with crop, yields, recommendations; soil tests; harvest."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from math import fsum

from ledger.contents import bushel_mass
from ledger.ground import crop_entry, nitrogen_method, shares
from ledger.model import Book, Crop, Definitions, Entry, Results, Statement, Zone
from ledger.reach import is_ranged
from ledger.report.spans import rough
from ledger.report.tables import Cell, Heading, Line, Table
from ledger.report.units import Shown

DAYS_A_YEAR = 365.25
WHERE = (
    Heading(text="Field", format="wrapped", width=16),
    Heading(text="Zone", format="wrapped", width=12),
)


def fields_table(book: Book, shown: Shown) -> Table:
    """Every field: area, owner and how to reach them, how it is held, where, setbacks."""
    people = book.named("people", "name")
    headings = [
        WHERE[0],
        Heading(text=f"Area [{shown.label('area')}]", width=8),
        Heading(text="Owner", format="wrapped", width=16),
        Heading(text="Owner's address", format="wrapped", width=26),
        Heading(text="Held as", format="text", width=11),
        Heading(text="Legal description", format="wrapped", width=26),
        Heading(text="Setbacks", format="wrapped", width=36),
    ]
    lines = []
    for entry in book.entries.get("fields", ()):
        owner = people.get(entry.text("owner"))
        cells: list[Cell] = [
            entry.text("field"),
            shown.value("area", entry.number("area")),
            entry.text("owner"),
            owner.text("contact") if owner else "",
            *(entry.text(column) for column in ("tenure", "legal", "setback_notes")),
        ]
        lines.append(Line(cells=cells))
    return Table(title="Fields", headings=headings, lines=lines)


def crops_table(results: Results, statements: Sequence[Statement], shown: Shown) -> Table:
    """One line a zone: area, crop, yield goal, yield, and what was recommended."""
    unit = shown.label("mass per area")
    headings = [
        *WHERE,
        Heading(text=f"Area [{shown.label('area')}]", width=8),
        Heading(text="Crop", format="wrapped", width=14),
        Heading(text="Crop before", format="wrapped", width=13),
        Heading(text="Yield goal", width=8),
        Heading(text="Yield", width=8),
        Heading(text="Unit", format="text", width=8),
        *(Heading(text=f"{n} wanted [{unit}]", width=9) for n in shown.definitions.nutrients),
        Heading(text="By", format="wrapped", width=22),
    ]
    lines = [_crop_line(statement, results, shown) for statement in statements]
    note = "Yield is as recorded, all cuts and loads of the main part; blank: nothing harvested."
    return Table(
        title="Fields, crops and recommendations", headings=headings, lines=lines, note=note
    )


def _crop_line(statement: Statement, results: Results, shown: Shown) -> Line:
    book, zone, definitions = results.book, statement.zone, shown.definitions
    entry = crop_entry(book, zone)
    crop = definitions.crops.get(statement.crop)
    needs = statement.figures
    scope = (zone.field, zone.zone)
    wanted = [
        rough(shown.value("mass per area", needs[n]["need"]), results.ranges.of(scope, n, "need"))
        for n in needs
    ]
    goal = entry.number("yield_goal") if entry else None
    return Line(
        cells=[
            zone.field,
            zone.zone,
            shown.value("area", zone.area),
            statement.crop or "none stated",
            entry.text("previous_crop") if entry else "",
            goal if entry else "",
            main_yield(book, zone, crop, definitions) if crop else "",
            crop.yield_unit[book.system] if crop else "",
            *(wanted if entry else [""] * len(wanted)),
            _methods(book, entry, definitions) if entry else "",
        ]
    )


def _methods(book: Book, entry: Entry, definitions: Definitions) -> str:
    nitrogen = nitrogen_method(book, entry, definitions).id
    return f"N: {nitrogen}; P, K: {entry.text('pk_method') or 'none chosen'}"


def main_yield(book: Book, zone: Zone, crop: Crop, definitions: Definitions) -> float | str | None:
    """Yield of a crop's main part on a zone, in the crop's unit; empty without a harvest line."""
    masses: list[float | None] = []
    for entry in book.entries.get("harvest", ()):
        main = (entry.text("crop"), entry.text("part")) == (crop.id, crop.main_part)
        for share in shares(entry, book) if main and not entry.faulty else ():
            if share.zone == zone:
                mass = harvested_mass(entry, crop, book, definitions)
                masses.append(None if mass is None else mass * share.part)
    if not masses:
        return ""
    known = [mass for mass in masses if mass is not None]
    unit = crop.yield_unit[book.system]
    size = _unit_mass(unit, crop, definitions)
    if len(known) < len(masses) or size is None:
        return None
    return fsum(known) / zone.area / size


def _unit_mass(unit: str, crop: Crop, definitions: Definitions) -> float | None:
    """Mass per area [kg/ha] of one unit of yield."""
    found = definitions.units[unit]
    if found.quantity == "mass per area":
        return found.factor
    bushel = bushel_mass(crop, definitions)
    return None if bushel is None else bushel * found.factor


def harvested_mass(entry: Entry, crop: Crop, book: Book, definitions: Definitions) -> float | None:
    """Mass of a whole harvest line as recorded [kg]; None where its unit cannot be weighed."""
    typed, unit = entry.number("yield"), entry.text("unit")
    if typed is None or not unit:
        return None
    quantity = definitions.units[unit].quantity
    amount = typed
    if quantity.endswith("per area"):
        amount *= fsum(share.area for share in shares(entry, book))
    if quantity.startswith("mass"):
        return amount
    weight = entry.number("bale_weight") if unit == "bales" else bushel_mass(crop, definitions)
    return None if weight is None else amount * weight


def soil_table(book: Book, at: date, shown: Shown) -> Table:
    """Every soil sample of the fields in the book, with its age in years on a day."""
    depth = shown.label("length")
    headings = [
        *WHERE,
        Heading(text="Sampled", format="date", width=11),
        Heading(text="Age [years]", width=8),
        Heading(text="Kind", format="wrapped", width=14),
        Heading(text=f"Depth [{depth}]", width=8),
        Heading(text="pH", width=6),
        Heading(text="Buffer pH", width=7),
        Heading(text="Organic matter [%]", width=9),
        Heading(text="P [ppm]", width=7),
        Heading(text="P by", format="text", width=11),
        Heading(text="K [ppm]", width=7),
        Heading(text="Nitrate-N [ppm]", width=9),
        Heading(text="Sulfate-S [ppm]", width=9),
        Heading(text="Lab", format="wrapped", width=14),
    ]
    lines = [_soil_line(e, at, shown) for e in book.entries.get("soil_tests", ()) if not e.faulty]
    note = f"Age on {at}. Blank: not measured."
    return Table(title="Soil tests", headings=headings, lines=lines, note=note)


def _soil_line(entry: Entry, at: date, shown: Shown) -> Line:
    day = entry.day("date")
    depth = entry.number("depth")
    depth = entry.number("nitrate_depth") if depth is None else depth

    def measured(column: str) -> Cell:
        value = entry.number(column)
        return "" if value is None else value

    return Line(
        cells=[
            entry.text("field"),
            entry.text("zone", "all"),
            day,
            None if day is None else (at - day).days / DAYS_A_YEAR,
            entry.text("sample_kind", "routine"),
            "" if depth is None else shown.value("length", depth),
            *(measured(column) for column in ("ph", "buffer_ph", "om_pct", "p_ppm")),
            entry.text("p_method"),
            *(measured(column) for column in ("k_ppm", "nitrate_ppm", "sulfate_ppm")),
            entry.text("lab"),
        ]
    )


def harvest_table(results: Results, shown: Shown, custom: bool = False) -> Table:
    """Every harvest line with what it carried off [mass per line]."""
    book, definitions = results.book, shown.definitions
    taken, reach = removed_by_line(results), _ranged_lines(results)
    nutrients = list(definitions.nutrients)
    headings = [
        Heading(text="Date", format="date", width=11),
        *WHERE,
        Heading(text="Crop", format="wrapped", width=14),
        Heading(text="Part", format="text", width=9),
        Heading(text="Amount", format="one", width=10),
        Heading(text="Unit", format="text", width=8),
        Heading(text="Moisture [%]", width=9),
        Heading(text="Use", format="text", width=9),
        *(Heading(text=f"{n} [{shown.label('mass')}]", format="whole", width=9) for n in nutrients),
    ]
    lines = [
        _harvest_line(entry, taken, reach, nutrients, shown)
        for entry in sorted(book.entries.get("harvest", ()), key=_by_day)
        if not entry.faulty and _is_custom(entry, book) == custom
    ]
    return Table(title="Harvest and what it carried off", headings=headings, lines=lines)


def _by_day(entry: Entry) -> date:
    return entry.day("date") or date.min


def _is_custom(entry: Entry, book: Book) -> bool:
    return any(zone.custom for zone in book.zones.get(entry.text("field"), ()))


def removed_by_line(results: Results) -> Mapping[tuple[int, str], float | None]:
    """Removal by harvest line and nutrient [kg]; None where the figure is unknown."""
    parts: dict[tuple[int, str], list[float]] = {}
    for posting in results.journal.postings:
        if posting.stream == "removal" and posting.account.root != "field":
            parts.setdefault((id(posting.entry), posting.nutrient), []).append(posting.mass)
    sums: dict[tuple[int, str], float | None] = {key: fsum(some) for key, some in parts.items()}
    unknown = [gap for gap in results.journal.gaps if gap.unknown and "removal" in gap.figures]
    return {**sums, **{(id(gap.entry), gap.nutrient): None for gap in unknown}}


def _ranged_lines(results: Results) -> set[tuple[int, str]]:
    """Harvest lines and nutrients whose removal hangs on figures with a range."""
    removed = (p for p in results.journal.postings if p.stream == "removal")
    return {(id(posting.entry), posting.nutrient) for posting in removed if is_ranged(posting)}


def _harvest_line(
    entry: Entry,
    taken: Mapping[tuple[int, str], float | None],
    reach: Collection[tuple[int, str]],
    nutrients: Sequence[str],
    shown: Shown,
) -> Line:
    unit = entry.text("unit")
    typed = entry.number("yield")
    moisture = entry.number("moisture_pct")
    return Line(
        cells=[
            entry.day("date"),
            entry.text("field"),
            entry.text("zone", "all"),
            entry.text("crop"),
            entry.text("part"),
            None if typed is None else typed / shown.definitions.units[unit].factor,
            unit,
            "standard" if moisture is None else moisture,
            entry.text("use"),
            *(
                rough(shown.value("mass", taken.get((id(entry), n), 0.0)), (id(entry), n) in reach)
                for n in nutrients
            ),
        ]
    )
