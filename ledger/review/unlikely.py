"""Figures far from what their column usually holds: a slipped decimal point, a wrong unit."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from ledger import findings
from ledger.check.samples import LOTS, SAMPLES
from ledger.check.values import PERCENT
from ledger.model import Book, Column, Definitions, Entry, Finding, Unit, Usual

WHOLE = 100  # percent
ODD_DAY = "day-unlikely"


def unlikely(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each figure outside the usual; zero is a statement and passes.

    Of bounds that hold for some lines alone and those of all lines the former speak first.
    """
    told: set[tuple[int, str]] = set()
    for usual, sheet in sorted(_judged(definitions), key=lambda pair: not pair[0].when):
        column = definitions.sheets[sheet].by_id[usual.column]
        for entry in book.entries.get(sheet, ()):
            cell = (id(entry), usual.column)
            if _surely(usual, column, entry) or cell in told or not _holds(usual, entry):
                continue
            unit = _unit(column, entry, book, definitions)
            number = _typed(entry, column, unit)
            if not number or usual.low <= number <= usual.high:
                continue
            if _quantity(unit) == _quantity(usual.unit):
                told.add(cell)
                words = {"read": _told(number, unit), "expected": _between(usual, unit)}
                words["hint"] = _hint(number, usual)
                yield findings.finding(definitions, "unlikely", entry.row, usual.column, **words)


def _judged(definitions: Definitions) -> Iterator[tuple[Usual, str]]:
    """What is usual with each sheet it holds for: further lab slips are judged as their lots."""
    for usual in definitions.usual:
        yield usual, usual.sheet
        if usual.sheet == LOTS and usual.column in definitions.sheets[SAMPLES].by_id:
            yield usual, SAMPLES


def _surely(usual: Usual, column: Column, entry: Entry) -> bool:
    """True for a figure that is usual in any unit; asked first, since nearly all of them are."""
    value = entry.get(column.id)
    if not isinstance(value, (int, float)) or entry.slips or column.per_crop_yield:
        return False
    return usual.low <= value <= usual.high


def _holds(usual: Usual, entry: Entry) -> bool:
    return all(entry.text(column) in words for column, words in usual.when.items())


def odd_days(book: Book, definitions: Definitions) -> Iterator[Finding]:
    """A finding for each date outside its usual days, though within the crop year's."""
    if not book.year:
        return
    for usual in definitions.usual_days:
        first, last = (date(book.year, *end) for end in (usual.first, usual.last))
        for entry in book.entries.get(usual.sheet, ()):
            day = entry.day(usual.column)
            if day is not None and not first <= day <= last:
                words = {"read": day, "expected": f"{first} and {last}", "year": book.year}
                yield findings.finding(definitions, ODD_DAY, entry.row, usual.column, **words)


def _typed(entry: Entry, column: Column, unit: Unit | None) -> float | None:
    """The figure of the line itself, where the ledger reckons with the mean of several slips."""
    slips = (entry.slips or {}).get(column.id)
    number = slips.own if slips else entry.number(column.id)
    if number is None or not column.per_crop_yield or unit is None:
        return number
    return number * unit.factor  # kept as typed until its crop is known


def _unit(column: Column, entry: Entry, book: Book, definitions: Definitions) -> Unit | None:
    """The unit a person typed the figure in, None where it has none."""
    if column.per_crop_yield:
        crop = definitions.crops.get(entry.text("crop"))
        name = crop.yield_unit[book.system] if crop else ""
    elif column.unit_column:
        choice = entry.text(column.unit_column)
        name = column.unit_of_choice.get(choice, "" if column.unit_of_choice else choice)
    else:
        name = column.unit.get(book.system, "")
    return definitions.units.get(name)


def _quantity(unit: Unit | None) -> str:
    return unit.quantity if unit else ""


def _told(base: float, unit: Unit | None) -> str:
    return f"{_figure(base / unit.factor)} {unit.id}" if unit else _figure(base)


def _between(usual: Usual, unit: Unit | None) -> str:
    factor, name = (unit.factor, f" {unit.id}") if unit else (1.0, "")
    return f"{_figure(usual.low / factor)} and {_figure(usual.high / factor)}{name}"


def _hint(number: float, usual: Usual) -> str:
    """What may have been meant by a share of 1 in a column of percent; or nothing."""
    meant = number * WHOLE
    if not usual.column.endswith(PERCENT) or not usual.low <= meant <= usual.high or number >= 1:
        return ""
    return f"; {number:.6g} here means {number:.6g} percent, perhaps {meant:.6g} was meant"


def _figure(number: float) -> str:
    return f"{number:.0f}" if abs(number) >= 1000 else f"{number:.3g}"
