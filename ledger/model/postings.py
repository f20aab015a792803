"""Postings: masses of nutrients that entries move between accounts."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from ledger.model.workbook import Entry, Zone

CELL = re.compile(r"![A-Z]+\d+$")  # how the origin of a typed figure ends
SEVERAL = re.compile(r"(?<=\d), ")  # between the cells of a figure that is a mean


@dataclass(frozen=True, slots=True)
class Account:
    """A place that nutrients are in: a root, and for fields the zone and the part."""

    root: str
    path: tuple[str, ...] = ()

    def __str__(self) -> str:
        return "/".join((self.root, *(step.replace("/", "\\/") for step in self.path)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """A number that a posting was reckoned with, and where it comes from."""

    name: str
    value: float
    unit: str
    origin: str
    low: float | None = None
    high: float | None = None

    @property
    def published(self) -> bool:
        """True when it comes from a publication, not from a cell of the workbook."""
        origin = self.origin
        return bool(origin) and ("!" not in origin or not CELL.search(origin))

    @property
    def cells(self) -> tuple[str, ...]:
        """The cells it was typed in: of a mean of lab slips there are several."""
        return () if self.published else tuple(SEVERAL.split(self.origin))


class Typed(NamedTuple):
    """A factor that a posting's own line tells: made of its entry when asked for.

    The number of a cell is taken ``times`` a unit of the base. Without a column it is the area
    that the line covers [ha], which follows from the cell of the area or from the field's name.
    """

    name: str
    unit: str
    column: str = ""
    times: float = 1.0

    def factor(self, entry: Entry, area: float) -> Factor:
        """The factor of a line that covers an area [ha]; a blank cell is zero."""
        covered = "area_covered" if entry.get("area_covered") is not None else "field"
        column = self.column or covered
        value = (entry.number(column) or 0.0) * self.times if self.column else area
        origin = f"{entry.row.grid.sheet_name}!{entry.row.address(column)}"
        return Factor(name=self.name, value=value, unit=self.unit, origin=origin)


AREA = Typed("area", "ha")


class Posting(NamedTuple):
    """A mass of a nutrient that one entry moves into (+) or out of (-) an account [kg].

    A named tuple, because ``Postings`` makes it anew whenever it is asked for (measured: a
    quarter of the time that a frozen dataclass takes).
    """

    account: Account
    nutrient: str
    stream: str
    zone: Zone
    mass: float
    entry: Entry
    factors: tuple[Factor, ...]

    @property
    def date(self) -> date | None:
        """The day of its entry."""
        return self.entry.day("date")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """An amount that could not be posted: these figures of the zone are not whole.

    ``unknown`` gaps make the figure unknown; the others (rows with errors) leave the
    sum of what was posted standing and mark the statement as incomplete.
    """

    zone: Zone
    nutrient: str
    figures: tuple[str, ...]
    unknown: bool
    entry: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """Manure that a spreading line took from its lot, as it was counted [base: kg or L]."""

    entry: Entry
    lot: Entry
    amount: float
    base: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """What a harvest line weighed, as it was harvested [kg]."""

    entry: Entry
    mass: float
