"""Coefficient sets: manure availability, crops and removal, book products."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from ledger.model.figures import Figure, Source


@dataclass(frozen=True, slots=True, kw_only=True)
class ManureKind:
    """A kind of manure that a lot can be."""

    id: str
    species: str
    form: str
    composted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorRow:
    """One figure of a factor table and the conditions it holds under."""

    when: Mapping[str, Any]
    figure: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorTable:
    """Figures found by keys such as the year, the method or the hours to incorporation."""

    name: str
    keys: tuple[str, ...]
    rows: tuple[FactorRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PoolTerm:
    """How a set treats one nitrogen pool of manure."""

    pool: Literal["total", "ammonium", "organic", "nitrate"]
    retain: str | None
    release: str | None
    rest: Literal["reserve", "air"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ManureSet:
    """One published way to credit manure, with its own keys, basis and years."""

    id: str
    title: str
    edition: str
    about: str
    source: Source
    years: int
    groups: Mapping[str, str]
    placements: Mapping[str, str]
    defaults: Mapping[str, Any]
    nitrogen: tuple[PoolTerm, ...]
    tables: Mapping[str, FactorTable]
    availability: Mapping[str, Mapping[int, Figure]]


@dataclass(frozen=True, slots=True, kw_only=True)
class CropPart:
    """A part of a crop that can be harvested."""

    id: str
    standard_moisture: Figure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop:
    """A crop the removal figures know."""

    id: str
    main_part: str
    legume: bool
    yield_unit: Mapping[str, str]
    bushel_weight: Figure | None
    parts: Mapping[str, CropPart]
    removal_as: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalFigure:
    """Nutrient per unit of harvest; ``moisture`` is None for the crop's standard moisture."""

    figure: Figure
    moisture: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemovalSet:
    """One published table of what harvest carries away, by (crop, part, nutrient)."""

    id: str
    title: str
    about: str
    figures: Mapping[tuple[str, str, str], RemovalFigure]


@dataclass(frozen=True, slots=True, kw_only=True)
class BookProduct:
    """A fertilizer whose grade and density are published."""

    id: str
    form: str
    grade: Mapping[str, float]
    density: Figure | None
    source: Source
    page: str
    status: str
    note: str
