"""Published numbers and the nutrients they are about."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A publication that figures were taken from."""

    id: str
    title: str
    publisher: str
    published: str
    address: str

    def citation(self, page: str = "") -> str:
        """One line that names the publication, its year and where in it."""
        published = "" if self.published in ("not shown", "not read") else self.published
        parts = (self.publisher, self.title, published, page, self.address)
        return ", ".join(part for part in parts if part)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One published number: value, unit, range, and who says so."""

    value: float
    unit: str
    source: Source
    status: Literal["verified", "memory"]
    low: float | None = None
    high: float | None = None
    page: str = ""
    note: str = ""

    def citation(self) -> str:
        """The source in one line, with a plain warning when the figure is from memory."""
        warning = " (from memory, check with a local guide)" if self.status == "memory" else ""
        return self.source.citation(self.page) + warning


@dataclass(frozen=True, slots=True, kw_only=True)
class Nutrient:
    """A nutrient the ledger keeps account of, in the form that labels state it in."""

    id: str
    title: str
    stated_as: str
    columns: Mapping[str, str]
    elemental_symbol: str
    elemental_factor: float
