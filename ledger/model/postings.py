"""Postings: masses of nutrients that entries move between accounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ledger.model.workbook import Entry, Zone


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Posting:
    """A mass of a nutrient that one entry moves into (+) or out of (-) an account [kg]."""

    date: date | None
    account: Account
    nutrient: str
    mass: float
    stream: str
    entry: Entry
    zone: Zone
    factors: tuple[Factor, ...] = ()


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
class Journal:
    """All postings of a book, and the gaps in them."""

    postings: Sequence[Posting]
    gaps: Sequence[Gap]
