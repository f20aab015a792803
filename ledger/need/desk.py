"""What reckoning a need takes: the book, the journal, the definitions; yields in any unit."""

from __future__ import annotations

from dataclasses import dataclass, field

from ledger import findings
from ledger.contents import bushel_mass
from ledger.model import Book, Crop, Definitions, Entry, Finding, Journal


class Missing(Exception):
    """A need that cannot be reckoned; its finding, if one is due, is written already.

    The text names what is missing as the person knows it; it is empty where nothing is.
    """


@dataclass(frozen=True, kw_only=True, eq=False)
class NeedDesk:
    """The desk of the need stage; ``found`` collects findings, each once."""

    book: Book
    journal: Journal
    definitions: Definitions
    found: dict[tuple[str, str, str, str], Finding] = field(default_factory=dict)

    def note(self, code: str, entry: Entry, column: str, **words: object) -> None:
        """Write a finding about a cell, once."""
        made = findings.finding(self.definitions, code, entry.row, column, **words)
        self.found.setdefault((made.code, made.sheet, made.cell, made.message), made)

    def lacks(self, entry: Entry, column: str, method: str) -> Missing:
        """The exception for a method that misses a figure of a cell, its finding written."""
        sheet = self.definitions.sheets[entry.row.grid.sheet_id]
        title = sheet.by_id[column].title
        self.note("need-figure-missing", entry, column, set=method, expected=title)
        return Missing(title)

    def shown(self, value: float) -> str:
        """A base mass per area [kg/ha] in the ledger's own unit, for findings."""
        unit = self.definitions.shown_in[self.book.system]["mass per area"]
        return f"{value / self.definitions.units[unit].factor:.4g} {unit}"

    def misfit(self, entry: Entry, method: str, expected: str) -> Missing:
        """The exception for a method that was not made for the crop, its finding written."""
        crop = entry.text("crop")
        self.note("method-does-not-fit", entry, "crop", set=method, read=crop, expected=expected)
        return Missing(f"a method made for {crop}")

    def no_test(self, entry: Entry, method: str, title: str) -> Missing:
        """The exception for ground without the soil test a method wants, its finding written."""
        self.note("soil-test-missing", entry, "field", set=method, expected=title)
        return Missing(f"a soil test with {title}")

    def per_area(self, value: float, unit: str) -> float:
        """A mass per area in the base [kg/ha]."""
        return value * self.definitions.units[unit].factor

    def crop(self, entry: Entry) -> Crop:
        """The crop of a Crops line."""
        return self.definitions.crops[entry.text("crop")]

    def yield_mass(self, entry: Entry, method: str) -> float:
        """The yield goal as mass per area [kg/ha] at the crop's standard moisture."""
        goal = entry.number("yield_goal")
        if goal is None:
            raise self.lacks(entry, "yield_goal", method)
        crop = self.crop(entry)
        unit = self.definitions.units[crop.yield_unit[self.book.system]]
        base = goal * unit.factor
        if unit.quantity == "number per area":
            return base * (bushel_mass(crop, self.definitions) or 0.0)
        return base

    def bushels_per_acre(self, entry: Entry, method: str) -> float:
        """The yield goal in bushels an acre, for equations printed in them."""
        crop = self.crop(entry)
        mass = self.yield_mass(entry, method)
        weight = bushel_mass(crop, self.definitions)
        assert weight is not None  # callers ask for grain crops only
        return mass / weight / self.definitions.units["bu/ac"].factor
