"""What every poster needs at hand: the book, the definitions, the sets in force, findings.

A poster turns one entry into postings; it is handed the desk and returns nothing it knows
not: what cannot be reckoned becomes a gap and a finding.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from ledger import findings
from ledger.factors import cell_factor, figure_factor
from ledger.ground import Share
from ledger.model import (
    AREA,
    Account,
    Basis,
    Book,
    Cut,
    Definitions,
    Draws,
    Entry,
    Factor,
    Figure,
    Finding,
    Gap,
    LegumeSet,
    ManureSet,
    Nutrient,
    Pen,
    RemovalSet,
    Zone,
)
from ledger.yard import slips_at_fault


class CannotPost(Exception):
    """An entry that cannot be reckoned at all; carries the finding that says why."""

    def __init__(self, finding: Finding | None = None) -> None:
        super().__init__(finding.message if finding else "")
        self.finding = finding


@dataclass(frozen=True, kw_only=True, eq=False)
class Desk:
    """The poster's desk; ``pen``, ``gaps`` and the lists after them collect what is written.

    Kept for the lines to come: ``factors``, what lots, products and publications say (by the
    identity of entries and figures, which book and definitions hold as long as the desk is);
    ``measures``, what a unit of amounts of a material stands for;
    ``recipes``, ``patterns`` and ``grounds``, what a unit of a material moves, and where.
    """

    book: Book
    definitions: Definitions
    manure_set: ManureSet
    removal_set: RemovalSet
    legume_set: LegumeSet
    named: Mapping[str, Mapping[str, Entry]]
    pen: Pen = field(default_factory=Pen)
    gaps: list[Gap] = field(default_factory=list)
    draws: Draws = field(default_factory=Draws)
    cuts: list[Cut] = field(default_factory=list)
    found: dict[tuple[str, str, str, str], Finding] = field(default_factory=dict)
    factors: dict[tuple[str, int], Factor] = field(default_factory=dict)
    measures: dict[tuple[str, int], Any] = field(default_factory=dict)
    recipes: dict[tuple[object, ...], Any] = field(default_factory=dict)
    patterns: dict[tuple[object, ...], int] = field(default_factory=dict)
    grounds: dict[tuple[int, int, int], Any] = field(default_factory=dict)

    def told(self, name: str, source: Entry, column: str, value: float, unit: str) -> Factor:
        """A figure of a lot or product as a factor, the same one for all lines that use it."""
        key = (name, id(source))
        if key not in self.factors:
            self.factors[key] = cell_factor(name, source, column, value, unit)
        return self.factors[key]

    def published(self, name: str, figure: Figure) -> Factor:
        """A published figure as a factor, the same one for all lines that use it."""
        key = (name, id(figure))
        if key not in self.factors:
            self.factors[key] = figure_factor(name, figure)
        return self.factors[key]

    def as_stated(self, nutrient: Nutrient) -> tuple[Factor, ...]:
        """The factor from the element to what labels state (P to P2O5); none where they are one."""
        if nutrient.elemental_factor == 1:
            return ()
        name = f"{nutrient.elemental_symbol} to {nutrient.stated_as}"
        key = (name, id(nutrient))
        if key not in self.factors:
            value, origin = nutrient.elemental_factor, "molar masses"
            self.factors[key] = Factor(name=name, value=value, unit="ratio", origin=origin)
        return (self.factors[key],)

    def note(self, code: str, entry: Entry, column: str, **words: object) -> Finding:
        """Write a finding, once a cell and message however often it is met."""
        made = findings.finding(self.definitions, code, entry.row, column, **words)
        return self.found.setdefault((made.code, made.sheet, made.cell, made.message), made)

    def refuse(self, code: str, entry: Entry, column: str, **words: object) -> CannotPost:
        """The exception for an entry that cannot be posted, its finding written."""
        return CannotPost(self.note(code, entry, column, **words))

    def gap(self, shares: Sequence[Share], nutrient: str, entry: Entry, *figures: str) -> None:
        """Mark figures of the zones as unknown."""
        for share in shares:
            self.gaps.append(
                Gap(zone=share.zone, nutrient=nutrient, figures=figures, unknown=True, entry=entry)
            )

    def move(
        self,
        entry: Entry,
        share: Share,
        nutrient: str,
        flows: Mapping[Account, float],
        basis: Basis,
        stream: str,
        area: float | None = None,
    ) -> None:
        """Post flows of a whole entry, cut to one zone's share of it; zero flows are left out.

        ``area`` is what the entry covers in all zones together [ha], where that is a factor.
        """
        if area is None and AREA in basis:
            raise AssertionError(f"a posting of {stream} names an area that is not given")
        moved = {account: mass for account, mass in flows.items() if mass}
        kinds = [self.pen.kind(account, nutrient, stream, share.zone) for account in moved]
        bases = [self.pen.basis(basis)] * len(moved)
        masses = [mass * share.part for mass in moved.values()]
        self.pen.write(entry, area or 0.0, kinds, bases, masses)


def field_account(zone: Zone, part: str) -> Account:
    """The account of a zone: ``available``, ``reserve`` or ``undivided``."""
    return account("field", zone.field, zone.zone, part)


@lru_cache(maxsize=10_000)
def account(root: str, *path: str) -> Account:
    """An account; postings to the same one share it (measured: a fifth less memory)."""
    return Account(root, path)


def material(entry: Entry, sheet: str, column: str, desk: Desk) -> Entry:
    """The lot or product an entry names; a faulty one lets nothing be posted."""
    found = desk.named[sheet].get(entry.text(column))
    if found is None:
        raise CannotPost()
    if found.faulty:
        at = [*(slips_at_fault(found, desk.book) if sheet == "manure_lots" else ())] or [found]
        where = ", ".join(f"{e.row.grid.sheet_name} row {e.row.number}" for e in at)
        words = {"read": entry.text(column), "expected": where}
        raise desk.refuse("named-at-fault", entry, column, **words)
    return found


def each_nutrient(desk: Desk, role: str) -> Iterator[tuple[str, str, Any]]:
    """(nutrient id, its column for a role, nutrient) for nutrients that have one."""
    for nutrient in desk.definitions.nutrients.values():
        if role in nutrient.columns:
            yield nutrient.id, nutrient.columns[role], nutrient
